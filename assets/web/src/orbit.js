// The eye: it turns about a point, by pointer and by keys.
import { MathUtils, Spherical, Vector3 } from "three";

const STEP = Math.PI / 24; // of a turn by key
const NEARER = 1.15; // of the distance, by key or notch of a wheel
const flattest = 0.02; // rad between the eye and straight up or down

export class Orbit {
  /**
   * @param {import("three").PerspectiveCamera} camera
   * @param {HTMLElement} element takes the pointer and the keys
   * @param {() => void} changed is called when another picture is due
   */
  constructor(camera, element, changed) {
    this.camera = camera;
    this.changed = changed;
    this.target = new Vector3();
    this.at = new Spherical(1, Math.PI / 3, 0);
    this.least = 0.02;
    this.most = 50;
    this.moved = 0; // px of the last drag: a click moves next to nothing
    this.listen(element);
  }

  /** Puts the eye where it looks at target along direction. */
  set(target, direction, distance) {
    this.target.copy(target);
    this.at.setFromVector3(direction.clone().setLength(distance));
    this.place();
  }

  place() {
    this.at.phi = MathUtils.clamp(this.at.phi, flattest, Math.PI - flattest);
    this.at.radius = MathUtils.clamp(this.at.radius, this.least, this.most);
    this.camera.position.setFromSpherical(this.at).add(this.target);
    this.camera.lookAt(this.target);
    this.camera.updateMatrixWorld();
    this.changed();
  }

  turn(right, up) {
    this.at.theta -= right;
    this.at.phi -= up;
    this.place();
  }

  /** Moves the target by shares of what is seen. */
  shift(right, up) {
    const high = 2 * this.at.radius * Math.tan(MathUtils.degToRad(this.camera.fov / 2));
    const side = new Vector3().setFromMatrixColumn(this.camera.matrix, 0);
    const top = new Vector3().setFromMatrixColumn(this.camera.matrix, 1);
    this.target.addScaledVector(side, right * high).addScaledVector(top, up * high);
    this.place();
  }

  nearer(by) {
    this.at.radius /= by;
    this.place();
  }

  listen(element) {
    const down = new Map();
    const spread = () => {
      const [a, b] = [...down.values()];
      return Math.hypot(a.x - b.x, a.y - b.y);
    };
    element.addEventListener("pointerdown", (e) => {
      if (e.target.closest("button")) return;
      element.setPointerCapture(e.pointerId);
      down.set(e.pointerId, { x: e.clientX, y: e.clientY });
      if (down.size === 1) this.moved = 0;
    });
    element.addEventListener("pointermove", (e) => {
      const last = down.get(e.pointerId);
      if (!last) return;
      const high = element.clientHeight;
      const [dx, dy] = [(e.clientX - last.x) / high, (e.clientY - last.y) / high];
      this.moved += Math.abs(dx * high) + Math.abs(dy * high);
      const before = down.size === 2 ? spread() : 0;
      down.set(e.pointerId, { x: e.clientX, y: e.clientY });
      if (down.size === 2) {
        this.shift(-dx / 2, dy / 2);
        if (before > 0) this.nearer(spread() / before);
      } else if (e.shiftKey || e.buttons === 2) {
        this.shift(-dx, dy);
      } else {
        this.turn(dx * Math.PI, dy * Math.PI);
      }
    });
    const up = (e) => down.delete(e.pointerId);
    element.addEventListener("pointerup", up);
    element.addEventListener("pointercancel", up);
    element.addEventListener("contextmenu", (e) => e.preventDefault());
    // The wheel scrolls the page until the picture was clicked.
    element.addEventListener("wheel", (e) => {
      if (!element.matches(":focus, :focus-within")) return;
      e.preventDefault();
      this.nearer(e.deltaY < 0 ? NEARER : 1 / NEARER);
    }, { passive: false });
    element.addEventListener("keydown", (e) => {
      if (e.altKey || e.ctrlKey || e.metaKey || e.target !== element) return;
      const keys = {
        ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1],
      };
      if (keys[e.key]) {
        const [x, y] = keys[e.key];
        if (e.shiftKey) this.shift(-x * 0.05, -y * 0.05);
        else this.turn(-x * STEP, y * STEP);
      } else if (e.key === "+" || e.key === "=") this.nearer(NEARER);
      else if (e.key === "-" || e.key === "_") this.nearer(1 / NEARER);
      else return;
      e.preventDefault();
    });
  }
}
