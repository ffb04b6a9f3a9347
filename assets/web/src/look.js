// How things look: paper tints with thin ink edges, by daylight and in the dark.
import { Color, LineBasicMaterial, MeshBasicMaterial, MeshLambertMaterial } from "three";

// Each material of the model: its tint on light and on dark ground, and how
// clear it is; 1 is opaque.
const TINTS = {
  wood: [0xf4eee1, 0x4a443a, 1],
  door: [0xeae0cd, 0x575044, 1],
  metal: [0x8b9298, 0x7c868d, 1],
  fixture: [0xd3d4d2, 0x59605f, 1],
  glass: [0x9cccc6, 0x7fb8b1, 0.14],
  baffle: [0x5fa8a0, 0x5fa8a0, 0.32],
  trim: [0xa9b1b6, 0x5d666c, 1],
  equipment: [0xc3cdd8, 0x54616e, 1],
  water: [0x5aa9db, 0x4c93c2, 0.18],
  sand: [0xe9dcb8, 0x6b6350, 1],
  arm: [0xe6c3aa, 0x84644f, 1],
};
const INK = [0x1e2830, 0xd5d9dc];
const FAINT = [0xb4bac0, 0x566068];
const GROUND = [0xfcfbf8, 0x14191d];
// What is picked and what a place is about, from the palette of Okabe and Ito
// (2008), whose colours stay apart for every kind of colour vision.
export const FIRST = 0x0072b2;
export const SECOND = 0xcc79a7;
export const PLACE = 0xd55e00;
const GLASSY = new Set(["glass", "baffle", "water"]);

export const CLEAR = 0.1; // of what stands before a place

/** The materials of one part. */
export class Look {
  /** @param {string} kind the name of the part's material in the model */
  constructor(kind) {
    this.tint = TINTS[kind] ?? TINTS.fixture;
    this.glassy = GLASSY.has(kind);
    this.face = new MeshLambertMaterial({ polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 });
    this.edge = new LineBasicMaterial();
    this.cut = new MeshBasicMaterial({ side: 2 });
  }

  /**
   * @param {boolean} dark whether the ground is dark
   * @param {number | null} tone a colour that picks the part out
   * @param {boolean} clear whether one looks through it
   */
  dress(dark, tone, clear) {
    const [light, night, alpha] = this.tint;
    const base = new Color(dark ? night : light);
    const color = tone === null ? base : base.clone().lerp(new Color(tone), 0.55);
    const opacity = clear ? Math.min(alpha / 2, CLEAR) : tone === null ? alpha : Math.max(alpha, this.glassy ? 0.24 : 0.45);
    this.face.color.copy(color);
    this.face.opacity = opacity;
    this.face.transparent = opacity < 1;
    this.face.depthWrite = opacity === 1;
    this.edge.color.set((clear ? FAINT : INK)[+dark]);
    if (tone !== null) this.edge.color.lerp(new Color(tone), 0.6);
    else if (this.glassy) this.edge.color.lerp(base, 0.35);
    this.cut.color.copy(color).lerp(new Color(INK[+dark]), this.glassy ? 0.35 : 0.16);
    this.face.needsUpdate = true;
  }

  /** Cuts the part by planes; its cut faces are drawn apart. */
  clip(planes) {
    this.face.clippingPlanes = planes;
    this.edge.clippingPlanes = planes;
  }
}

export const ground = (dark) => new Color(GROUND[+dark]);
export const ink = (dark) => INK[+dark];
