// Reads a GLB file the way other programs do and prints what they found, as
// JSON: the report of the glTF validator, and the model as three loads it.
//
//   node check-model.mjs FILE.glb
//
// Of each animation it prints where three puts the moved nodes at some times.
import { readFile } from "node:fs/promises";
import { AnimationMixer, Box3, Vector3 } from "three";
import { GLTFLoader } from "three/addons/loaders/GLTFLoader.js";
import validator from "gltf-validator";

const file = new Uint8Array(await readFile(process.argv[2]));
const report = await validator.validateBytes(file, { maxIssues: 0 });

const { scene, animations, cameras } = await new GLTFLoader().parseAsync(file.buffer, "");
const box = (object) => {
  const b = new Box3().setFromObject(object, true);
  return { min: b.min.toArray(), max: b.max.toArray() };
};
const nodes = [];
const visit = (object, path) => {
  const name = object.userData.name;
  const here = name === undefined ? path : [...path, name];
  if (name !== undefined) nodes.push({ path: here, role: object.userData.role });
  for (const child of object.children) visit(child, here);
};
scene.updateMatrixWorld(true);
visit(scene, []);
const rest = box(scene);

const ways = animations.map((clip) => {
  const mixer = new AnimationMixer(scene);
  mixer.clipAction(clip).play();
  const moved = [...new Set(clip.tracks.filter((t) => t.name.endsWith(".quaternion")).map((t) => t.name.split(".")[0]))];
  const hidden = [...new Set(clip.tracks.filter((t) => t.name.endsWith(".scale")).map((t) => t.name.split(".")[0]))];
  const samples = [];
  for (let i = 0; i <= 40; i++) {
    const time = (clip.duration * i) / 40;
    mixer.setTime(Math.min(time, clip.duration * (1 - 1e-9))); // at its end a clip starts over
    scene.updateMatrixWorld(true);
    samples.push({
      time,
      nodes: moved.map((n) => {
        const object = scene.getObjectByName(n);
        const corner = (x, y, z) => object.localToWorld(new Vector3(x, y, z)).toArray();
        return { name: object.userData.name, origin: corner(0, 0, 0), x: corner(1, 0, 0), y: corner(0, 1, 0) };
      }),
      hidden: hidden.map((n) => scene.getObjectByName(n).scale.length()),
    });
  }
  mixer.stopAllAction();
  return { name: clip.name, duration: clip.duration, samples };
});

process.stdout.write(JSON.stringify({
  validator: {
    errors: report.issues.numErrors,
    warnings: report.issues.numWarnings,
    infos: report.issues.numInfos,
    hints: report.issues.numHints,
    messages: report.issues.messages,
  },
  three: { box: rest, nodes, cameras: cameras.map((c) => c.name), ways },
}));
