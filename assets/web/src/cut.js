// What a plane leaves of convex bodies: the faces that it makes.
import { BufferAttribute, BufferGeometry, Vector3 } from "three";

/**
 * The face that a plane makes in a convex mesh: a fan of triangles and the line
 * round it, or null where the plane misses it.
 */
export function face(mesh, plane) {
  const position = mesh.geometry.attributes.position;
  const index = mesh.geometry.index;
  const corners = [];
  for (let i = 0; i < position.count; i++) {
    corners.push(new Vector3().fromBufferAttribute(position, i).applyMatrix4(mesh.matrixWorld));
  }
  const side = corners.map((c) => plane.distanceToPoint(c));
  const points = [];
  const crossing = (i, j) => {
    if (side[i] < 0 === side[j] < 0) return;
    points.push(corners[i].clone().lerp(corners[j], side[i] / (side[i] - side[j])));
  };
  for (let t = 0; t < index.count; t += 3) {
    const [i, j, k] = [index.getX(t), index.getX(t + 1), index.getX(t + 2)];
    crossing(i, j);
    crossing(j, k);
    crossing(k, i);
  }
  if (points.length < 3) return null;

  // A convex body has a convex face: its points in order round their middle.
  const middle = points.reduce((m, p) => m.add(p), new Vector3()).divideScalar(points.length);
  const right = new Vector3(plane.normal.y, plane.normal.z, plane.normal.x).cross(plane.normal).normalize();
  const up = new Vector3().crossVectors(plane.normal, right);
  const angle = (p) => Math.atan2(up.dot(p) - up.dot(middle), right.dot(p) - right.dot(middle));
  const ring = points.map((p) => ({ p, a: angle(p) })).sort((m, n) => m.a - n.a).map((m) => m.p);

  const flat = [];
  const line = [];
  ring.forEach((p, i) => {
    const q = ring[(i + 1) % ring.length];
    flat.push(middle, p, q);
    line.push(p, q);
  });
  const geometry = (list) =>
    new BufferGeometry().setAttribute("position", new BufferAttribute(new Float32Array(list.flatMap((p) => p.toArray())), 3));
  return { flat: geometry(flat), line: geometry(line) };
}
