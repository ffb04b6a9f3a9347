// Lengths in words, as the rest of the page prints them.

/** A length in mm to the nearest 1/16 in or half a millimetre. */
export function length(mm, units) {
  if (units !== "in") {
    const steps = Math.round(mm * 2) / 2;
    return units === "cm" ? `${+(steps / 10).toFixed(2)} cm` : `${steps} mm`;
  }
  let parts = Math.round((mm / 25.4) * 16);
  let of = 16;
  const whole = Math.floor(parts / 16);
  parts -= whole * 16;
  while (parts && parts % 2 === 0) [parts, of] = [parts / 2, of / 2];
  if (!parts) return `${whole} in`;
  return whole ? `${whole} ${parts}/${of} in` : `${parts}/${of} in`;
}
