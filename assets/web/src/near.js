// The distance between two convex bodies, each given by its corners.
//
// Source: Gilbert, Johnson and Keerthi, "A fast procedure for computing the
// distance between complex objects in three-dimensional space", IEEE Journal on
// Robotics and Automation 4 (1988).

const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];

/** The corner that is farthest along a direction. */
function farthest(corners, along) {
  let best = corners[0];
  let most = dot(best, along);
  for (const c of corners) {
    const d = dot(c, along);
    if (d > most) [best, most] = [c, d];
  }
  return best;
}

/**
 * The weights of the point of a simplex that is nearest to the origin; the
 * corners that take no part in it have none. Every face is tried: there are at
 * most fifteen, and trying them all leaves no case out.
 */
function nearest(simplex) {
  let best = null;
  for (let set = 1; set < 1 << simplex.length; set++) {
    const of = simplex.map((_, i) => i).filter((i) => set & (1 << i));
    const w = foot(of.map((i) => simplex[i].d));
    if (!w || w.some((x) => x < 0)) continue;
    const at = [0, 1, 2].map((k) => of.reduce((s, i, j) => s + w[j] * simplex[i].d[k], 0));
    const size = dot(at, at);
    if (!best || size < best.size) best = { size, at, of, w };
  }
  return best;
}

/**
 * The weights of the foot of the origin on the flat through one to four points,
 * or null where they do not span it.
 */
function foot(points) {
  const [a, b, c, d] = points;
  if (points.length === 1) return [1];
  const u = sub(b, a);
  if (points.length === 2) {
    const n = dot(u, u);
    if (!(n > 0)) return null;
    const t = -dot(a, u) / n;
    return [1 - t, t];
  }
  const v = sub(c, a);
  const n = cross(u, v);
  const nn = dot(n, n);
  if (!(nn > 1e-12 * dot(u, u) * dot(v, v))) return null;
  if (points.length === 3) {
    const s = -dot(cross(a, v), n) / nn;
    const t = -dot(cross(u, a), n) / nn;
    return [1 - s - t, s, t];
  }
  const w = sub(d, a);
  const volume = dot(n, w);
  if (!(Math.abs(volume) > 1e-9 * Math.sqrt(nn * dot(w, w)))) return null;
  const s = -dot(a, cross(v, w)) / volume;
  const t = -dot(u, cross(a, w)) / volume;
  const r = -dot(u, cross(v, a)) / volume;
  return [1 - s - t - r, s, t, r];
}

/**
 * How far apart two convex bodies are, and the two points that are nearest to
 * each other. The distance is 0 where they touch or overlap.
 *
 * @param {number[][]} a corners of one body
 * @param {number[][]} b corners of the other, in the same unit
 */
export function distance(a, b) {
  const support = (along) => {
    const p = farthest(a, along.map((x) => -x));
    const q = farthest(b, along);
    return { p, q, d: sub(p, q) };
  };
  let simplex = [support([1, 0, 0])];
  let near = nearest(simplex);
  for (let turn = 0; turn < 100 && near.size > 1e-12; turn++) {
    const next = support(near.at);
    if (dot(near.at, near.at) - dot(near.at, next.d) <= 1e-9 * near.size) break;
    const kept = near.of.map((i) => simplex[i]);
    if (kept.length === 4) break; // the origin is inside
    const better = nearest([...kept, next]);
    if (!(better.size < near.size)) break;
    simplex = [...kept, next];
    near = better;
  }
  const along = (side) => [0, 1, 2].map((k) => near.of.reduce((s, i, j) => s + near.w[j] * simplex[i][side][k], 0));
  return { distance: Math.sqrt(near.size), from: along("p"), to: along("q") };
}
