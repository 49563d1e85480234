/** The scene in three dimensions: bodies from views, one camera, drawn on change. Needs WebGL; throws where there is none. */
import * as THREE from "../vendor/three/three.module.js";
import { h } from "../dom.js";
import { placed } from "../logic/camera.js";
import { undercut } from "../logic/exaggerate.js";
import { borders, boxOf, circle, face, joined, ringLines, seams, turnedBody, wall } from "../logic/solid.js";

const INK = 0x1d2126;
const REST_MS = 250; // without a change, and the picture is drawn finely
const LOOKS = { block: 0xcdc6b4, formed: 0xa9c0d2, flat: 0xffffff, pin: 0x6d737a };

/** @returns {{canvas, show(of), look(camera)}} `host` is filled by the canvas and followed in size */
export function makeScene(host) {
  const canvas = h("canvas", { tabindex: "0", role: "img" });
  const slow = drawnInSoftware();
  const renderer = new THREE.WebGLRenderer({ canvas, antialias: !slow });
  renderer.setClearColor(0xffffff);
  host.append(canvas);
  const scene = new THREE.Scene();
  scene.add(new THREE.HemisphereLight(0xffffff, 0x9a958a, 2.2));
  const sun = new THREE.DirectionalLight(0xffffff, 1.4);
  const eye = new THREE.OrthographicCamera();
  const groups = {};
  let key = "";
  let look = null;
  let box = [-1, -1, -1, 1, 1, 1];
  let due = false;
  let fine = false; // drawn at twice the pixels, once nothing moves
  let rest = 0;
  scene.add(sun, sun.target);

  const draw = () => {
    due = false;
    if (!look) return;
    const began = performance.now();
    const [wide, tall] = [host.clientWidth, host.clientHeight];
    if (!wide || !tall) return;
    const size = renderer.getSize(new THREE.Vector2());
    const ratio = slow ? (fine ? 2 : 1) : Math.min(devicePixelRatio, 2);
    if (size.x !== wide || size.y !== tall || renderer.getPixelRatio() !== ratio) {
      renderer.setPixelRatio(ratio);
      renderer.setSize(wide, tall, false);
    }
    const { at, up, target, half, far } = placed(look, box, wide / tall);
    Object.assign(eye, { left: (-half * wide) / tall, right: (half * wide) / tall, top: half, bottom: -half, near: 0.1, far });
    eye.position.set(...at);
    eye.up.set(...up);
    eye.lookAt(...target);
    eye.updateProjectionMatrix();
    // light comes from above the shoulder, wherever one stands
    sun.position.set(...at.map((v, i) => v + far * 0.25 * up[i]));
    sun.target.position.set(...target);
    renderer.render(scene, eye);
    canvas.dataset.frameMs = (performance.now() - began).toFixed(1);
  };
  const ask = () => {
    if (due) return;
    due = true;
    requestAnimationFrame(draw);
  };
  const later = () => {
    fine = false;
    ask();
    clearTimeout(rest);
    if (slow) rest = setTimeout(() => { fine = true; ask(); }, REST_MS);
  };
  new ResizeObserver(later).observe(host);

  const put = (name, make) => {
    groups[name]?.traverse((x) => { x.geometry?.dispose(); x.material?.dispose(); });
    if (groups[name]) scene.remove(groups[name]);
    groups[name] = make();
    scene.add(groups[name]);
  };
  return {
    canvas,
    show({ block, formed, times, shown }) {
      if (groups.ofBlock !== block || groups.times !== times) {
        put("block", () => blockGroup(block, times));
        Object.assign(groups, { ofBlock: block, times });
      }
      const next = formed?.nodes.length ? formed : null;
      if (groups.ofFormed !== next || groups.under !== block) {
        for (const name of ["formed", "flat"]) put(name, () => (next ? sheetGroup(next, block, name) : new THREE.Group()));
        Object.assign(groups, { ofFormed: next, under: block });
      }
      for (const name of ["block", "formed", "flat"]) groups[name].visible = Boolean(shown[name]);
      const seen = ["block", "formed", "flat"].filter((name) => groups[name].visible && groups[name].userData.box).map((name) => groups[name].userData.box);
      const now = JSON.stringify(Object.values(shown));
      // the picture keeps its place while only the undercut changes
      if (seen.length && now !== key) {
        key = now;
        box = [0, 1, 2, 3, 4, 5].map((i) => (i < 3 ? Math.min : Math.max)(...seen.map((b) => b[i])));
      }
      later();
    },
    look(camera) {
      look = camera;
      later();
    },
  };
}

/** Whether this browser draws without a graphics card: smoothing every frame is slow then. */
function drawnInSoftware() {
  const gl = document.createElement("canvas").getContext("webgl2");
  if (!gl) throw new Error("no WebGL");
  const named = gl.getExtension("WEBGL_debug_renderer_info");
  const name = String(gl.getParameter(named ? named.UNMASKED_RENDERER_WEBGL : gl.RENDERER));
  gl.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|software|basic render/i.test(name);
}

const triangulate = (ring, openings) => THREE.ShapeUtils.triangulateShape(ring.map(vector), openings.map((o) => o.map(vector)));
const vector = ([x, y]) => new THREE.Vector2(x, y);

function body({ positions, index }, colour, smooth = false) {
  const made = new THREE.BufferGeometry();
  made.setAttribute("position", new THREE.Float32BufferAttribute(positions, 3));
  made.setIndex(index);
  if (smooth) made.computeVertexNormals();
  const material = new THREE.MeshLambertMaterial({
    color: colour, flatShading: !smooth, side: THREE.DoubleSide, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 });
  return new THREE.Mesh(made, material);
}

function strokes(positions, dashed = 0) {
  const made = new THREE.BufferGeometry();
  made.setAttribute("position", new THREE.Float32BufferAttribute(positions, 3));
  const material = dashed ? new THREE.LineDashedMaterial({ color: INK, dashSize: dashed, gapSize: dashed * 0.6 }) : new THREE.LineBasicMaterial({ color: INK });
  const lines = new THREE.LineSegments(made, material);
  if (dashed) lines.computeLineDistances();
  return lines;
}

/** The block as on the table: web face at z = 0, foot below; turned over where the flanges turn up. */
function blockGroup(block, times) {
  const group = new THREE.Group();
  const z = block.depths.map((d) => -d);
  const foot = z.at(-1);
  const loops = block.loops.map((loop) => ({ ...loop, drawn: undercut(loop, times) }));
  const bores = [...block.pins.map((p) => circle(p.at, p.diameter / 2, 24)), ...block.recesses.map((r) => circle(r.at, r.meridian[0][0]))];
  const vents = block.recesses.filter((r) => r.meridian.at(-1)[0] > 0).map((r) => circle(r.at, r.meridian.at(-1)[0]));
  const walls = loops.map((loop) => wall(loop.drawn, z));
  const top = face(loops[0].drawn[0], [...loops.slice(1).map((l) => l.drawn[0]), ...bores], 0, triangulate);
  const under = face(loops[0].drawn.at(-1), [...loops.slice(1).map((l) => l.drawn.at(-1)), ...vents], foot, triangulate, true);
  const sunk = block.recesses.map((r) => turnedBody(r.meridian, r.at, 0));
  // rounded rims are smooth, so walls are shaded by their own normals, level by level
  group.add(body(joined(top, under), LOOKS.block), body(joined(...walls), LOOKS.block, true));
  if (sunk.length) group.add(body(joined(...sunk), LOOKS.block, true));
  const pins = block.pins.map((p) => pinBody(p, foot));
  if (pins.length) group.add(body(joined(...pins), LOOKS.pin));
  const rings = block.rings.map((r) => ringBody(r, block.thickness));
  if (rings.length) group.add(body(joined(...rings), LOOKS.block));
  const mid = block.rounding_levels;
  const lines = loops.flatMap((loop) => [
    ...ringLines(loop.drawn[0], 0), ...(mid ? ringLines(loop.drawn[mid], z[mid]) : []), ...ringLines(loop.drawn.at(-1), foot),
    ...loop.edges.flatMap((edge) => z.slice(1).flatMap((_, k) => [...loop.drawn[k][edge.at], z[k], ...loop.drawn[k + 1][edge.at], z[k + 1]])),
  ]);
  const rims = block.recesses.flatMap((r) => r.meridian.filter((_, i) => i === 0 || i >= r.meridian.length - 3).flatMap(([radius, d]) => ringLines(circle(r.at, radius), -d)));
  const heads = block.pins.flatMap((p) => [0, p.above].flatMap((up) => ringLines(circle(p.at, p.diameter / 2, 24), up)));
  group.add(strokes([...lines, ...rims, ...heads]));
  group.userData.box = boxOf([...walls, ...pins, ...rings].flatMap((w) => w.positions));
  return onTable(group, block.mirrored);
}

function pinBody(pin, foot) {
  const ring = circle(pin.at, pin.diameter / 2, 24);
  return joined(wall([ring, ring], [pin.above, foot]), face(ring, [], pin.above, triangulate));
}

/** A loose ring stands over the sheet, its working face down on it. */
function ringBody(ring, thickness) {
  const outer = circle(ring.at, ring.meridian[0][0] + 25);
  const height = ring.meridian.at(-1)[1] + thickness;
  const inner = ring.meridian.map(([r]) => circle(ring.at, r));
  return joined(wall(inner, ring.meridian.map(([, d]) => thickness + d)), wall([outer, outer], [height, thickness]),
    face(outer, [inner[0]], thickness, triangulate, true), face(outer, [inner.at(-1)], height, triangulate));
}

/** The sheet, formed or flat, its web's mid-surface half a thickness over the web face; a flat blank alone lies there too. */
function sheetGroup(formed, block, name) {
  const group = new THREE.Group();
  const lift = (block.mirrored ? -1 : 1) * (formed.thickness / 2);
  const places = name === "formed" ? formed.nodes.map(([x, y, z]) => [x, y, z + lift]) : formed.flat.map(([x, y]) => [x, y, lift]);
  const positions = places.flat();
  const pairs = (list) => list.flatMap(([a, b]) => [...places[a], ...places[b]]);
  const wide = formed.box[3] - formed.box[0];
  group.add(body({ positions, index: formed.triangles.flat() }, LOOKS[name], false));
  group.add(strokes(pairs(borders(formed.loops)), name === "flat" ? wide / 150 : 0));
  group.add(strokes(pairs(seams(formed.triangles, formed.part_of)), wide / 80));
  group.userData.box = boxOf(positions);
  return onTable(group, block.mirrored, true);
}

/** The view has the block below its web face whichever way flanges turn; a sheet whose flanges turn up is turned over onto it. */
function onTable(group, mirrored, sheet = false) {
  if (!mirrored) return group;
  const b = group.userData.box;
  if (sheet) {
    group.rotation.y = Math.PI;
    group.userData.box = [-b[3], b[1], -b[5], -b[0], b[4], -b[2]];
  } else {
    group.scale.x = -1;
    group.userData.box = [-b[3], b[1], b[2], -b[0], b[4], b[5]];
  }
  return group;
}
