// The stuffed form in space, by hand in WebGL: every stitch a small V, turned by pointer and keys.
import { $ } from "./elements.js";

const VERTEX = `
attribute vec3 at; attribute vec3 out_; attribute vec2 uv; attribute vec3 dye; attribute float round;
uniform mat3 eye; uniform vec3 middle; uniform vec2 zoom; uniform float deep;
varying vec3 n; varying vec2 st; varying vec3 c; varying float r;
void main() {
  vec3 seen = eye * (at - middle);
  n = eye * out_; st = uv; c = dye; r = round;
  gl_Position = vec4(seen.x * zoom.x, seen.y * zoom.y, -seen.z * deep, 1.0);
}`;
const FRAGMENT = `
precision mediump float;
varying vec3 n; varying vec2 st; varying vec3 c; varying float r;
uniform vec2 lit; uniform vec3 light; uniform float flat_;
void main() {
  vec3 m = normalize(n);
  if (!gl_FrontFacing) m = -m;
  float day = 0.62 + 0.42 * dot(m, light);
  float leg = abs(abs(st.x - 0.5) - mix(0.07, 0.34, st.y));
  float yarn = mix(0.55, 1.08, 1.0 - smoothstep(0.05, 0.2, leg));
  vec3 paint = c * day * mix(yarn, mix(0.85, 1.0, yarn), flat_) * (gl_FrontFacing ? 1.0 : 0.55);
  if (r > lit.x - 0.5 && r < lit.y + 0.5) paint = mix(paint, vec3(0.86, 0.2, 0.1), 0.6);
  gl_FragColor = vec4(paint, 1.0);
}`;
const YARN = [0.85, 0.66, 0.42];
const WARM = [[0.16, 0.22, 0.45], [0.2, 0.5, 0.6], [0.55, 0.72, 0.5], [0.93, 0.75, 0.3], [0.8, 0.25, 0.15]];

const canvas = $("turn");
let gl = null;
let program = null;
let mesh = null;
let shade = "yarn";
let lit = [-1, -1];
const eye = { turn: -0.6, tilt: 0.35, near: 1 };

function ready() {
  if (gl) return true;
  gl = canvas.getContext("webgl", { antialias: true, alpha: true, preserveDrawingBuffer: true });
  if (!gl) return false;
  program = gl.createProgram();
  for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  canvas.addEventListener("webglcontextlost", (event) => { event.preventDefault(); gl = null; });
  canvas.addEventListener("webglcontextrestored", () => { if (mesh) show(mesh.told); });
  return gl.getProgramParameter(program, gl.LINK_STATUS);
}

const minus = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const unit = (a) => { const l = Math.hypot(...a) || 1; return a.map((x) => x / l); };

export function show(told) {
  if (!ready()) return false;
  const point = (i) => told.points.slice(3 * i, 3 * i + 3);
  const out = Array.from({ length: told.round.length }, () => [0, 0, 0]);
  const faces = [];
  const take = (corners) => {
    const p = corners.map(point);
    const n = cross(minus(p[2], p[0]), minus(p[p.length - 1], p[1 % p.length]));
    for (const i of corners) for (let k = 0; k < 3; k++) out[i][k] += n[k];
    faces.push(corners);
  };
  for (let i = 0; i < told.quads.length; i += 4) take(told.quads.slice(i, i + 4));
  for (let i = 0; i < told.triangles.length; i += 3) take(told.triangles.slice(i, i + 3));
  const low = [0, 1, 2].map((k) => told.points.reduce((m, x, i) => (i % 3 === k ? Math.min(m, x) : m), 1e9));
  const high = [0, 1, 2].map((k) => told.points.reduce((m, x, i) => (i % 3 === k ? Math.max(m, x) : m), -1e9));
  const data = [];
  const uvs = { 4: [[0, 0], [1, 0], [1, 1], [0, 1]], 3: [[0, 0], [1, 0], [0.5, 1]] };
  const dye = dyes(told);
  for (const corners of faces) {
    const round = Math.max(...corners.map((i) => told.round[i]));
    const top = corners.find((i) => told.round[i] === round);
    for (let k = 1; k < corners.length - 1; k++) {
      for (const c of [0, k, k + 1]) {
        const i = corners[c];
        data.push(...point(i), ...unit(out[i]), ...uvs[corners.length][c], ...dye(i, top), round);
      }
    }
  }
  const buffer = gl.createBuffer();
  if (mesh?.buffer) gl.deleteBuffer(mesh.buffer);
  gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
  gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(data), gl.STATIC_DRAW);
  const middle = low.map((x, k) => (x + high[k]) / 2);
  let size = 1; // as far as it reaches from its middle: it fits, however it is turned
  for (let i = 0; i < told.points.length; i += 3) size = Math.max(size, Math.hypot(...minus(told.points.slice(i, i + 3), middle)));
  mesh = { told, buffer, count: data.length / 12, middle, size };
  draw();
  return true;
}

function dyes(told) {
  if (shade === "colour" && told.colours.length) {
    const brush = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
    const paints = told.colours.map((name, i) => {
      brush.fillStyle = `hsl(${i * 137}, 40%, 60%)`; // a name that is no colour here
      brush.fillStyle = (told.shades?.[i] || name).replaceAll(" ", "").toLowerCase();
      brush.fillRect(0, 0, 1, 1);
      return [...brush.getImageData(0, 0, 1, 1).data].slice(0, 3).map((x) => 0.06 + 0.9 * x / 255);
    });
    $("scale").textContent = told.colours.join(", ");
    return (i, top) => paints[told.colour[top]];
  }
  if (shade === "stretch") {
    const sorted = [...told.stretch].sort((a, b) => a - b);
    const [least, most] = [0.05, 0.95].map((share) => sorted[Math.floor(share * (sorted.length - 1))]);
    $("scale").textContent = `round the part, most of it from ${(100 * least).toFixed(1)} % (blue) to ${(100 * most).toFixed(1)} % (red) longer than relaxed`;
    return (i) => {
      const share = (told.stretch[i] - least) / Math.max(most - least, 0.002);
      const t = Math.max(0, Math.min(share, 1)) * (WARM.length - 1);
      const [a, b] = [WARM[Math.floor(t)], WARM[Math.min(Math.floor(t) + 1, WARM.length - 1)]];
      return a.map((x, k) => x + (b[k] - x) * (t % 1));
    };
  }
  $("scale").textContent = "";
  return () => YARN;
}

export function draw() {
  if (!mesh || !gl || !canvas.clientWidth) return;
  const sharp = Math.min(devicePixelRatio || 1, 2);
  canvas.width = canvas.clientWidth * sharp;
  canvas.height = canvas.clientHeight * sharp;
  gl.viewport(0, 0, canvas.width, canvas.height);
  gl.clearColor(0, 0, 0, 0);
  gl.enable(gl.DEPTH_TEST);
  gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
  gl.useProgram(program);
  const set = (name) => gl.getUniformLocation(program, name);
  const [s, c, t, u] = [Math.sin(eye.turn), Math.cos(eye.turn), Math.sin(eye.tilt), Math.cos(eye.tilt)];
  // rows: right, up, toward the eye; sent by columns
  const rows = [[-s, c, 0], [-t * c, -t * s, u], [u * c, u * s, t]];
  gl.uniformMatrix3fv(set("eye"), false, [0, 1, 2].flatMap((k) => rows.map((row) => row[k])));
  gl.uniform3fv(set("middle"), mesh.middle);
  const scale = eye.near / (mesh.size * 1.06);
  const [w, h] = [canvas.width, canvas.height];
  gl.uniform2f(set("zoom"), scale * Math.min(1, h / w), scale * Math.min(1, w / h));
  gl.uniform1f(set("deep"), 0.5 / mesh.size);
  gl.uniform2f(set("lit"), ...lit);
  gl.uniform3fv(set("light"), unit([-0.4, 0.6, 0.8]));
  gl.uniform1f(set("flat_"), shade === "stretch" ? 1 : 0);
  gl.bindBuffer(gl.ARRAY_BUFFER, mesh.buffer);
  let from = 0;
  for (const [name, size] of [["at", 3], ["out_", 3], ["uv", 2], ["dye", 3], ["round", 1]]) {
    const place = gl.getAttribLocation(program, name);
    if (place >= 0) {
      gl.enableVertexAttribArray(place);
      gl.vertexAttribPointer(place, size, gl.FLOAT, false, 48, from);
    }
    from += 4 * size;
  }
  gl.drawArrays(gl.TRIANGLES, 0, mesh.count);
  canvas.dataset.stitches = String(mesh.told.quads.length / 4);
}

// The place of the form that the pointer is at: the nearest to the eye, of one part only where it is named.
export function pick(event, part = null) {
  if (!mesh) return null;
  const box = canvas.getBoundingClientRect();
  const [s, c, t, u] = [Math.sin(eye.turn), Math.cos(eye.turn), Math.sin(eye.tilt), Math.cos(eye.tilt)];
  const rows = [[-s, c, 0], [-t * c, -t * s, u], [u * c, u * s, t]];
  const scale = (eye.near / (mesh.size * 1.06)) * (Math.min(box.width, box.height) / 2);
  const x = (event.clientX - box.left - box.width / 2) / scale;
  const y = -(event.clientY - box.top - box.height / 2) / scale;
  const p = mesh.told.points;
  const at = (i) => {
    const d = [p[3 * i] - mesh.middle[0], p[3 * i + 1] - mesh.middle[1], p[3 * i + 2] - mesh.middle[2]];
    return rows.map((row) => row[0] * d[0] + row[1] * d[1] + row[2] * d[2]);
  };
  let best = null;
  const meet = (i, j, k) => {
    if (part !== null && mesh.told.round[i] !== part) return;
    const [a, b, d] = [at(i), at(j), at(k)];
    const area = (b[0] - a[0]) * (d[1] - a[1]) - (d[0] - a[0]) * (b[1] - a[1]);
    if (Math.abs(area) < 1e-9) return;
    const v = ((x - a[0]) * (d[1] - a[1]) - (d[0] - a[0]) * (y - a[1])) / area;
    const w = ((b[0] - a[0]) * (y - a[1]) - (x - a[0]) * (b[1] - a[1])) / area;
    if (v < 0 || w < 0 || v + w > 1) return;
    const z = a[2] + v * (b[2] - a[2]) + w * (d[2] - a[2]);
    if (best && z <= best.z) return;
    const point = [0, 1, 2].map((n) => p[3 * i + n] + v * (p[3 * j + n] - p[3 * i + n]) + w * (p[3 * k + n] - p[3 * i + n]));
    best = { z, point, part: Math.max(...[i, j, k].map((n) => mesh.told.round[n])) };
  };
  const { quads, triangles } = mesh.told;
  for (let i = 0; i < quads.length; i += 4) {
    meet(quads[i], quads[i + 1], quads[i + 2]);
    meet(quads[i], quads[i + 2], quads[i + 3]);
  }
  for (let i = 0; i < triangles.length; i += 3) meet(triangles[i], triangles[i + 1], triangles[i + 2]);
  return best;
}

export const look = (from) => { Object.assign(eye, from); draw(); };

// From its front, a little from above and beside; what bends shows its side, what lies flat is seen from above.
export function face({ front: [x, y], flat, beside }) {
  if (flat) look({ turn: -Math.PI / 2, tilt: 1.3, near: 1 });
  else look({ turn: Math.atan2(y, x) + (beside ? 0.9 : 0.35), tilt: 0.3, near: 1 });
}
export const home = canvas;

export function mark(rounds) {
  lit = rounds || [-1, -1];
  draw();
}

export function shadeBy(how) {
  shade = how;
  if (mesh) show(mesh.told);
}

function turn(x, y) {
  eye.turn -= x;
  eye.tilt = Math.max(-1.5, Math.min(1.5, eye.tilt + y));
  draw();
}

let held = null;
canvas.addEventListener("pointerdown", (event) => {
  if (event.defaultPrevented) return;
  held = [event.clientX, event.clientY];
  canvas.setPointerCapture(event.pointerId);
});
let pointed = () => {};
export const onPointed = (tell) => { pointed = tell; };
canvas.addEventListener("pointerleave", () => pointed(null));
canvas.addEventListener("pointermove", (event) => {
  if (event.defaultPrevented) return;
  if (!held) return event.pointerType === "touch" ? undefined : pointed(pick(event)?.part ?? null);
  turn((event.clientX - held[0]) / 120, (event.clientY - held[1]) / 120);
  held = [event.clientX, event.clientY];
});
for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, () => { held = null; });
canvas.addEventListener("wheel", (event) => {
  if (!event.ctrlKey && document.activeElement !== canvas) return;
  event.preventDefault();
  near(event.deltaY < 0 ? 1.1 : 1 / 1.1);
}, { passive: false });
const near = (by) => { eye.near = Math.max(0.5, Math.min(8, eye.near * by)); draw(); };
canvas.addEventListener("keydown", (event) => {
  const turns = { ArrowLeft: [-0.15, 0], ArrowRight: [0.15, 0], ArrowUp: [0, 0.15], ArrowDown: [0, -0.15] };
  if (turns[event.key]) turn(...turns[event.key]);
  else if (event.key === "+" || event.key === "=") near(1.15);
  else if (event.key === "-") near(1 / 1.15);
  else return;
  event.preventDefault();
});
new ResizeObserver(draw).observe(canvas);
