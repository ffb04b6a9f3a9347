// The picture that turns: a plan's model with its parts, its ways as they were
// proved, a cut, distances, and the places of the findings.
//
// Text of the plan comes in as data and goes out as text nodes only.
import {
  AnimationMixer, Box3, BufferGeometry, DirectionalLight, Group, HemisphereLight, Line, LineBasicMaterial, LineSegments,
  LoopOnce, Mesh, PerspectiveCamera, Plane, Points, PointsMaterial, Raycaster, Scene, Vector2, Vector3, WebGLRenderer,
} from "three";
import { GLTFLoader } from "three/addons/loaders/GLTFLoader.js";
import { face } from "./cut.js";
import { FIRST, Look, PLACE, SECOND, ground, ink } from "./look.js";
import { distance } from "./near.js";
import { Orbit } from "./orbit.js";
import { length } from "./words.js";

const byId = (id) => document.getElementById(id);

/** Makes an element with text in it. */
function make(tag, text = "", attributes = {}) {
  const e = document.createElement(tag);
  e.textContent = text;
  for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v);
  return e;
}

/** From where an eye sees the cabinet best, by the words on the buttons. */
const SIDES = {
  corner: new Vector3(0.5, 0.38, 0.78), front: new Vector3(0, 0.03, 1), left: new Vector3(-1, 0.03, 0.001),
  right: new Vector3(1, 0.03, 0.001), back: new Vector3(0, 0.03, -1), above: new Vector3(0, 1, 0.001),
};

/** Directions to look at a place from, in the order of preference. */
const EYES = [[0.4, 0.35, 0.85], [-0.4, 0.35, 0.85], [0, 0.1, 1], [0.3, 0.9, 0.4], [0, 1, 0.05], [0.9, 0.3, 0.3], [-0.9, 0.3, 0.3], [0.4, 0.35, -0.85]]
  .map((v) => new Vector3(...v).normalize());

const still = matchMedia("(prefers-reduced-motion: reduce)");
const dark = matchMedia("(prefers-color-scheme: dark)");

/** A place of the cabinet's frame, in mm, as the model has it. */
const fromPlan = ([x, y, z]) => new Vector3(x / 1000, z / 1000, -y / 1000);
const toPlan = (v) => [v.x * 1000, -v.z * 1000, v.y * 1000];

class Viewer {
  constructor(gltf, facts, renderer) {
    this.facts = facts;
    this.renderer = renderer;
    this.view = byId("view");
    this.scene = new Scene();
    this.scene.add(gltf.scene, new HemisphereLight(0xffffff, 0xe4e0d8, 2.75));
    const sun = new DirectionalLight(0xffffff, 0.7);
    sun.position.set(-0.4, 1, 0.6);
    this.scene.add(sun);
    this.camera = new PerspectiveCamera(30, 4 / 3, 0.02, 60);
    this.overlay = new Group(); // lines of measure
    this.faces = new Group(); // what the cut makes
    this.scene.add(this.overlay, this.faces);
    this.model = gltf.scene;
    this.model.updateMatrixWorld(true);
    this.gather();
    this.orbit = new Orbit(this.camera, this.view, () => this.draw());
    this.box = new Box3().setFromObject(this.model);
    this.picked = [];
    this.place = null;
    this.before = new Set(); // parts that hide the place
    this.way = null;
    this.mixer = new AnimationMixer(this.model);
    this.ways(gltf);
    this.list();
    this.pins();
    this.controls();
    this.dress();
    new ResizeObserver(() => this.size()).observe(this.view);
    this.size();
    this.whole("corner");
  }

  /** Finds the parts of the model. */
  gather() {
    this.parts = [];
    this.model.traverse((node) => {
      const { name, of, role } = node.userData;
      // What has no edges is a mesh itself, else it holds one beside its edges.
      const mesh = node.isMesh ? node : node.children.find((c) => c.isMesh && !c.userData.role);
      if (!name || !role || !mesh) return;
      const part = { name, of: role === "water" ? "water" : of, owner: of, role, node, mesh, look: new Look(mesh.material.name) };
      mesh.material = part.look.face;
      mesh.userData.part = part;
      for (const c of node.children) if (c.isLineSegments) c.material = part.look.edge;
      node.visible = role !== "arm"; // shown with its place alone
      this.parts.push(part);
    });
    this.names = new Set(this.parts.map((p) => p.name));
  }

  // ---- drawing

  draw() {
    if (this.due) return;
    this.due = requestAnimationFrame(() => {
      this.due = 0;
      this.renderer.render(this.scene, this.camera);
      this.movePins();
      const at = toPlan(this.orbit.target).map(Math.round).join(" ");
      this.view.dataset.at = at;
      this.view.dataset.from = toPlan(this.camera.position).map(Math.round).join(" ");
    });
  }

  size() {
    const { clientWidth: w, clientHeight: h } = this.view;
    if (!w || !h) return;
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.renderer.setSize(w, h, false);
    this.camera.aspect = w / h;
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  /** Gives every part the look it has now. */
  dress() {
    this.scene.background = ground(dark.matches);
    for (const p of this.parts) {
      let tone = null;
      const pick = this.picked.indexOf(p);
      if (pick >= 0) tone = [FIRST, SECOND][pick];
      else if (this.place && this.about(p, this.place)) tone = FIRST;
      else if (this.way && this.moves(p)) tone = FIRST;
      const shell = this.way && !this.moves(p) && (p.role === "leaf" || p.owner === "display" || (p.role === "panel" && p.name !== "cabinet/inside bottom"));
      p.look.dress(dark.matches, tone, shell || this.before.has(p));
      // What is carried in goes in before the water; and a place is seen better
      // without it.
      if (p.role === "water") for (const c of p.node.children) c.visible = !this.way && !this.place;
    }
    this.cut();
    this.measure();
    this.draw();
  }

  about(part, place) {
    return place.marks.some((m) => m.parts.some((n) => this.named(n, part)));
  }

  moves(part) {
    return this.way.parts.some((n) => this.named(n, part));
  }

  /**
   * Whether a name is that of a part or of what it belongs to. A thing that is
   * carried closed has parts of other names; they stand for all of it.
   */
  named(name, part) {
    if (part.role === "water") return false;
    return name === part.name || name === part.owner || (!this.names.has(name) && name.startsWith(`${part.owner}/`));
  }

  // ---- the eye

  /** Shows all of it from one side. */
  whole(side) {
    const middle = this.box.getCenter(new Vector3());
    const radius = this.box.getSize(new Vector3()).length() / 2;
    this.fly(middle, SIDES[side].clone(), this.distanceFor(radius));
  }

  distanceFor(radius) {
    const half = (this.camera.fov * Math.PI) / 360;
    return (0.92 * radius) / Math.sin(Math.min(half, Math.atan(Math.tan(half) * this.camera.aspect)));
  }

  /** Brings the eye to a place, at once where motion is not wanted. */
  fly(target, direction, away) {
    const to = direction.normalize();
    cancelAnimationFrame(this.flight);
    if (still.matches || !this.flown) {
      this.flown = true;
      this.orbit.set(target, to, away);
      return;
    }
    const from = this.camera.position.clone().sub(this.orbit.target);
    const [startTarget, startAway] = [this.orbit.target.clone(), from.length()];
    from.normalize();
    const start = performance.now();
    const step = (now) => {
      const t = Math.min(1, (now - start) / 450);
      const s = t * t * (3 - 2 * t);
      const dir = from.clone().lerp(to, s);
      if (dir.lengthSq() < 1e-3) dir.set(0.5, 0.5, 0.7); // from the opposite side
      this.orbit.set(startTarget.clone().lerp(target, s), dir, startAway + (away - startAway) * s);
      if (t < 1) this.flight = requestAnimationFrame(step);
    };
    this.flight = requestAnimationFrame(step);
  }

  // ---- places of the findings

  pins() {
    this.pinned = this.facts.places.map((place) => {
      const box = new Box3();
      for (const m of place.marks) box.expandByPoint(fromPlan(m.from)).expandByPoint(fromPlan(m.to));
      const button = make("button", place.number, { type: "button", class: `pin ${place.verdict}`, "aria-label": `Place ${place.number}, ${place.verdict}: ${place.title}` });
      button.addEventListener("click", () => this.show(place));
      byId("pins").append(button);
      place.middle = box.getCenter(new Vector3());
      place.spread = box.getSize(new Vector3()).length();
      return { place, button };
    });
    for (const link of document.querySelectorAll("a[data-place]")) {
      link.addEventListener("click", (e) => {
        const place = this.facts.places.find((p) => p.number === Number(link.dataset.place));
        if (!place) return;
        e.preventDefault();
        byId("look").scrollIntoView({ behavior: still.matches ? "auto" : "smooth" });
        this.view.focus({ preventScroll: true });
        this.show(place);
      });
    }
  }

  /** Lays the pins over their places, beside each other where they would meet. */
  movePins() {
    const { clientWidth: w, clientHeight: h } = this.view;
    const taken = [];
    const lay = (element, at) => {
      const p = at.clone().project(this.camera);
      element.hidden = p.z > 1 || Math.abs(p.x) > 1 || Math.abs(p.y) > 1;
      let [x, y] = [((p.x + 1) / 2) * w, ((1 - p.y) / 2) * h];
      while (taken.some((q) => Math.hypot(q[0] - x, q[1] - y) < 26)) x += 27;
      if (!element.hidden) taken.push([x, y]);
      element.style.transform = `translate(-50%, -50%) translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
    };
    for (const { place, button } of this.pinned) lay(button, place.middle);
    if (this.span) lay(byId("span"), this.span);
  }

  show(place) {
    this.leaveWay();
    this.leavePlace();
    this.place = place;
    this.arms(place, true);
    for (const { place: p, button } of this.pinned) button.setAttribute("aria-pressed", String(p === place));
    const away = Math.max(0.8, 5 * place.spread);
    const eyes = EYES.map((eye, i) => ({ eye, i, ...this.hiding(place, eye) }));
    const along = place.marks.length ? fromPlan(place.marks[0].to).sub(fromPlan(place.marks[0].from)).normalize() : new Vector3();
    // What hides the place is drawn clear, unless the place is about it.
    const cost = (e) => e.solid + 8 * e.own + 0.25 * e.i + 3 * Math.abs(e.eye.dot(along));
    eyes.sort((a, b) => cost(a) - cost(b));
    this.before = new Set(eyes[0].before);
    this.fly(place.middle, eyes[0].eye.clone(), away);
    this.say(`Place ${place.number}, ${place.verdict}. ${place.title}: ${place.summary}`);
    this.dress();
  }

  /**
   * The parts between a place and an eye, how many of them nobody sees through,
   * and how many such parts there are that the place itself is about.
   */
  hiding(place, eye) {
    const ray = new Raycaster(place.middle, eye, 1e-3);
    const hits = ray.intersectObjects(this.parts.filter((p) => p.node.visible).map((p) => p.mesh), false).map((h) => h.object.userData.part);
    const all = [...new Set(hits)].filter((p) => p.role !== "arm");
    const before = all.filter((p) => !this.about(p, place));
    return { before, own: all.filter((p) => !p.look.glassy && this.about(p, place)).length, solid: before.filter((p) => !p.look.glassy).length };
  }

  /** Shows or hides the arms that reach for a place. */
  arms(place, shown) {
    for (const p of this.parts) if (place.shapes.includes(p.name)) p.node.visible = shown;
    this.ticks();
  }

  leavePlace() {
    if (this.place) this.arms(this.place, false);
    this.place = null;
    this.before = new Set();
    for (const { button } of this.pinned) button.setAttribute("aria-pressed", "false");
  }

  say(text) { byId("caption").textContent = text; }

  // ---- parts

  list() {
    const groups = new Map();
    for (const p of this.parts) groups.set(p.of, [...(groups.get(p.of) ?? []), p]);
    const box = (text, parts, checked = true) => {
      const label = make("label");
      const input = make("input", "", { type: "checkbox" });
      input.checked = checked;
      input.addEventListener("change", () => {
        for (const p of parts) p.node.visible = input.checked;
        this.ticks();
        this.dress();
      });
      label.append(input, " ", text);
      return { label, input, parts };
    };
    this.boxes = [];
    for (const [of, parts] of groups) {
      const item = make("li");
      const all = box(of, parts, parts.some((p) => p.node.visible));
      this.boxes.push(all);
      item.append(all.label);
      if (parts.length > 1) {
        const more = make("details");
        const inner = make("ul");
        more.append(make("summary", `${parts.length} parts of ${of}`), inner);
        for (const p of parts) {
          const one = box(p.name.startsWith(`${of}/`) ? p.name.slice(of.length + 1) : p.name, [p], p.node.visible);
          this.boxes.push(one);
          const li = make("li");
          li.append(one.label);
          inner.append(li);
        }
        item.append(more);
      }
      byId("parts").append(item);
    }
    for (const id of ["one", "other"]) {
      const select = byId(id);
      select.append(make("option", "choose a part", { value: "" }));
      for (const [i, p] of this.parts.entries()) {
        if (p.role !== "water") select.append(make("option", p.name.replace("/", ", "), { value: String(i) }));
      }
      select.addEventListener("change", () => {
        this.picked = ["one", "other"].map((n) => this.parts[byId(n).value || -1]);
        this.dress();
      });
    }
  }

  /** Ticks the boxes as the parts are shown. */
  ticks() {
    for (const b of this.boxes) {
      const shown = b.parts.filter((p) => p.node.visible).length;
      b.input.checked = shown > 0;
      b.input.indeterminate = shown > 0 && shown < b.parts.length;
    }
  }

  // ---- distances

  /** Picks the part under the pointer; again at the same spot, the one behind. */
  pick(x, y) {
    const r = this.view.getBoundingClientRect();
    const ray = new Raycaster();
    ray.setFromCamera(new Vector2(((x - r.left) / r.width) * 2 - 1, 1 - ((y - r.top) / r.height) * 2), this.camera);
    const seen = (p) => p.node.visible && p.role !== "water" && !this.before.has(p);
    const hits = ray.intersectObjects(this.parts.filter(seen).map((p) => p.mesh), false)
      .filter((h) => !this.plane || this.plane.distanceToPoint(h.point) >= 0)
      .map((h) => h.object.userData.part);
    const list = [...new Set(hits)].sort((a, b) => a.look.glassy - b.look.glassy);
    if (!list.length) return;
    const same = this.last && Math.hypot(this.last.x - x, this.last.y - y) < 5;
    const depth = same ? (this.last.depth + 1) % list.length : 0;
    this.last = { x, y, depth };
    const kept = same ? this.picked.filter(Boolean).slice(0, -1) : this.picked.filter(Boolean);
    this.picked = kept.length >= 2 ? [list[depth]] : [...kept, list[depth]];
    ["one", "other"].forEach((id, i) => { byId(id).value = this.picked[i] ? String(this.parts.indexOf(this.picked[i])) : ""; });
    this.dress();
  }

  corners(part) {
    const list = new Map();
    const position = part.mesh.geometry.attributes.position;
    for (let i = 0; i < position.count; i++) {
      const v = toPlan(new Vector3().fromBufferAttribute(position, i).applyMatrix4(part.mesh.matrixWorld));
      list.set(v.map((x) => x.toFixed(3)).join(), v);
    }
    return [...list.values()];
  }

  /** Draws and tells how far the picked parts are apart. */
  measure() {
    this.clear(this.overlay);
    this.span = null;
    byId("span").hidden = true;
    if (this.place) for (const m of this.place.marks) this.line(fromPlan(m.from), fromPlan(m.to), PLACE);
    const [a, b] = this.picked;
    if (!a || !b) {
      byId("apart").textContent = a || b ? `${(a ?? b).name.replace("/", ", ")}: choose another part` : "";
      return;
    }
    this.model.updateMatrixWorld(true);
    const d = a === b ? { distance: 0 } : distance(this.corners(a), this.corners(b));
    // Round things are drawn with flat sides: what is nearer than that touches.
    const touch = d.distance < 0.05;
    const text = touch ? "they touch" : length(d.distance, this.facts.units);
    byId("apart").textContent = `${a.name.replace("/", ", ")} to ${b.name.replace("/", ", ")}: ${text}`;
    if (touch) return;
    const [from, to] = [fromPlan(d.from), fromPlan(d.to)];
    this.line(from, to, ink(dark.matches));
    this.span = from.lerp(to, 0.5);
    byId("span").textContent = text;
    byId("span").hidden = false;
  }

  line(from, to, color) {
    const geometry = new BufferGeometry().setFromPoints([from, to]);
    const look = { color, depthTest: false, transparent: true };
    const line = new Line(geometry, new LineBasicMaterial(look));
    const ends = new Points(geometry, new PointsMaterial({ ...look, size: 7, sizeAttenuation: false }));
    for (const o of [line, ends]) o.renderOrder = 10;
    this.overlay.add(line, ends);
  }

  clear(group) {
    for (const o of [...group.children]) o.geometry.dispose();
    group.clear();
  }

  // ---- the cut

  /** Lays the plane and draws what it makes of the parts. */
  cut() {
    this.clear(this.faces);
    const from = byId("cut").value;
    byId("depth").disabled = !from;
    this.plane = null;
    if (from) {
      const [axis, sign] = { front: ["z", -1], back: ["z", 1], left: ["x", 1], right: ["x", -1], above: ["y", -1] }[from];
      const share = Number(byId("depth").value) / 100;
      const { min, max } = this.box;
      const at = sign > 0 ? min[axis] + share * (max[axis] - min[axis]) : max[axis] - share * (max[axis] - min[axis]);
      const normal = new Vector3();
      normal[axis] = sign;
      this.plane = new Plane(normal, -sign * at);
      const deep = share * 1000 * (max[axis] - min[axis]);
      byId("deep").textContent = `${length(deep, this.facts.units)} from the ${from === "above" ? "top" : from === "left" || from === "right" ? `${from} side` : from}`;
    } else {
      byId("deep").textContent = "";
    }
    const planes = this.plane ? [this.plane] : [];
    this.model.updateMatrixWorld(true);
    for (const p of this.parts) {
      p.look.clip(planes);
      if (!this.plane || !p.node.visible || this.before.has(p) || p.role === "water" || this.away(p)) continue;
      const f = face(p.mesh, this.plane);
      if (f) this.faces.add(new Mesh(f.flat, p.look.cut), new LineSegments(f.line, new LineBasicMaterial({ color: ink(dark.matches) })));
    }
  }

  /** Whether a part is not there during the way. */
  away(part) {
    for (let n = part.node; n; n = n.parent) if (!n.visible || n.scale.x === 0) return true;
    return false;
  }

  // ---- ways

  ways(gltf) {
    this.clips = gltf.animations.map((clip) => ({ clip, ...clip.userData, seconds: clip.duration }));
    const select = byId("way");
    select.append(make("option", "none", { value: "" }));
    this.clips.forEach((w, i) => {
      const how = w.through ? `${w.out ? "out" : "in"} through ${w.through}` : w.out ? "out" : "in";
      select.append(make("option", `${w.thing.replace("/", ", ")}, ${how}`, { value: String(i) }));
    });
    byId("ways").hidden = this.clips.length === 0;
  }

  choose(index) {
    this.stop();
    this.mixer.stopAllAction();
    this.way = this.clips[index] ?? null;
    if (this.way) {
      this.leavePlace();
      this.say("");
      this.action = this.mixer.clipAction(this.way.clip).setLoop(LoopOnce, 1);
      this.action.play();
      // All of the way is to be seen, not the display on top.
      const box = new Box3();
      for (const p of this.parts) if (p.role === "panel" || p.role === "leaf") box.expandByObject(p.mesh);
      for (const t of [0, this.way.seconds]) {
        this.pose(t);
        for (const p of this.parts) if (this.moves(p)) box.expandByObject(p.mesh, true);
      }
      this.fly(box.getCenter(new Vector3()), SIDES.corner.clone(), this.distanceFor(box.getSize(new Vector3()).length() / 2));
    }
    for (const id of ["play", "back", "on", "moment"]) byId(id).disabled = !this.way;
    this.go(0);
    this.dress();
  }

  leaveWay() {
    if (!this.way) return;
    byId("way").value = "";
    this.choose(-1);
  }

  pose(seconds) {
    this.action.time = Math.min(seconds, this.way.seconds);
    this.mixer.update(0);
    this.model.updateMatrixWorld(true);
  }

  /** Shows a moment of the way, in seconds from its start. */
  go(seconds) {
    this.now = seconds;
    if (!this.way) {
      byId("moment").value = 0;
      byId("move").textContent = "";
      this.model.updateMatrixWorld(true);
      return;
    }
    this.pose(seconds);
    byId("moment").value = Math.round((1000 * seconds) / this.way.seconds);
    const moves = this.way.moves ?? [];
    const i = moves.findIndex((m) => seconds < m.to_s);
    const begins = moves[0]?.to_s === 0 ? `1 of ${moves.length}: ${moves[0].text}` : "outside"; // it is turned there, or not
    const text = seconds <= 0 ? (this.way.out ? "at its place" : begins) : i < 0 ? (this.way.out ? "outside" : "at its place") : `${i + 1} of ${moves.length}: ${moves[i].text}`;
    if (byId("move").textContent !== text) byId("move").textContent = text;
    byId("moment").setAttribute("aria-valuetext", text);
    if (this.plane) this.cut();
    if (this.picked.some(Boolean)) this.measure();
    this.draw();
  }

  /** Goes to where a move ends: the next one, or the one before. */
  step(by) {
    this.stop();
    const ends = [0, ...(this.way.moves ?? []).map((m) => m.to_s)];
    const slack = 1e-6;
    const next = by > 0 ? ends.find((t) => t > this.now + slack) : ends.findLast((t) => t < this.now - slack);
    this.go(next ?? (by > 0 ? this.way.seconds : 0));
  }

  play() {
    if (still.matches) {
      this.step(1);
      return;
    }
    if (this.playing) {
      this.stop();
      return;
    }
    if (this.now >= this.way.seconds) this.go(0);
    byId("play").textContent = "Pause";
    let last = performance.now();
    const tick = (t) => {
      this.go(Math.min(this.now + (t - last) / 1000, this.way.seconds));
      last = t;
      this.playing = requestAnimationFrame(tick);
      if (this.now >= this.way.seconds) this.stop();
    };
    this.playing = requestAnimationFrame(tick);
  }

  stop() {
    cancelAnimationFrame(this.playing);
    this.playing = 0;
    byId("play").textContent = "Play";
  }

  // ---- controls

  controls() {
    for (const b of document.querySelectorAll("button[data-side]")) {
      b.addEventListener("click", () => {
        this.leavePlace();
        this.whole(b.dataset.side);
        this.say("");
        this.dress();
      });
    }
    byId("nearer").addEventListener("click", () => this.orbit.nearer(1.25));
    byId("farther").addEventListener("click", () => this.orbit.nearer(0.8));
    byId("way").addEventListener("change", (e) => this.choose(e.target.value === "" ? -1 : Number(e.target.value)));
    byId("play").addEventListener("click", () => this.play());
    byId("back").addEventListener("click", () => this.step(-1));
    byId("on").addEventListener("click", () => this.step(1));
    byId("moment").addEventListener("input", (e) => {
      this.stop();
      this.go((Number(e.target.value) / 1000) * this.way.seconds);
    });
    for (const id of ["cut", "depth"]) byId(id).addEventListener("input", () => { this.cut(); this.draw(); });
    byId("forget").addEventListener("click", () => {
      this.picked = [];
      for (const id of ["one", "other"]) byId(id).value = "";
      this.dress();
    });
    this.view.addEventListener("click", (e) => {
      if (e.target.closest("button") || this.orbit.moved > 4) return;
      this.view.focus({ preventScroll: true });
      this.pick(e.clientX, e.clientY);
    });
    this.view.addEventListener("keydown", (e) => {
      if (e.key !== "Escape" && e.key !== "Home") return;
      this.leavePlace();
      this.whole("corner");
      this.say("");
      this.dress();
      e.preventDefault();
    });
    dark.addEventListener("change", () => this.dress());
  }
}

async function start() {
  const canvas = byId("canvas");
  const context = canvas.getContext("webgl2", { antialias: true, powerPreference: "low-power" });
  if (!context) return; // the still picture stays
  const renderer = new WebGLRenderer({ canvas, context });
  renderer.localClippingEnabled = true;
  const text = byId("model").textContent.trim();
  const packed = new Blob([Uint8Array.from(atob(text), (c) => c.charCodeAt(0))]);
  const bytes = await new Response(packed.stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
  const gltf = await new GLTFLoader().parseAsync(bytes, "");
  document.body.classList.add("turns");
  for (const e of document.querySelectorAll("[data-live]")) e.hidden = false;
  new Viewer(gltf, JSON.parse(byId("facts").textContent), renderer);
}

start();
