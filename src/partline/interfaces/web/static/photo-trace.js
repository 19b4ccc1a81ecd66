// Points set in a slice's photo, by finger, mouse or keyboard. This page only collects them: what
// they say of the section is worked out by the program.

import { form } from "./form.js";
import { make } from "./page.js";
import { names, putStation, rowNamed } from "./photo-stations.js";
import { latest, post } from "./wire.js";

const part = (name) => document.getElementById(`trace-${name}`);
const tracer = document.getElementById("tracer");
const stage = part("stage");
const sheet = part("sheet");
const distance = part("distance");
const FEWEST = 5;
const STRIDE = 10;
const NEAR = 14;
const MOST_ZOOM = 4;

const STEPS = [
  { key: "scale", count: 2, says: "Step 1 of 4: set two marks of the card's scale, as far apart as the photo shows." },
  { key: "outline", count: Infinity, says: "Step 2 of 4: set points round the slice, in order; about twelve, closer where it bends." },
  { key: "line", count: 2, says: "Step 3 of 4: set the two ends of the line where the halves meet." },
  { key: "back", count: 1, says: "Step 4 of 4: set one point on the back's side of that line." },
];

let photo = "";
let image = null;
let drawn = null;
let shown = 1; // pixels of the screen for one of the photo
let cross = null;
let points = {};
let isClosed = false;
let coarseness = 0;

const isDone = ({ key, count }) => (key === "outline" ? isClosed : points[key].length >= count);
const step = () => STEPS.find((each) => !isDone(each)) ?? null;

// --- drawing -----------------------------------------------------------------------------

const SVG = "http://www.w3.org/2000/svg";
function shape(name, attributes, className) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.setAttribute("class", className);
  return element;
}

const at = ([x, y]) => [x * shown, y * shown];
// Each line twice: pale under dark, to be seen on any photo.
const both = (name, attributes, className) => ["halo", "mark"].map((layer) => shape(name, attributes, `${layer} ${className}`));

function path(list, className, close = false) {
  if (list.length < 2) return [];
  const d = `M${list.map((each) => at(each).join(" ")).join("L")}${close ? "Z" : ""}`;
  return both("path", { d }, className);
}

function dot(point, key) {
  const [cx, cy] = at(point);
  return both("circle", { cx, cy, r: key === "back" ? 8 : 5 }, `dot ${key}`);
}

function crossAt(point) {
  const [x, y] = at(point);
  return both("path", { d: `M${x - 16} ${y}H${x + 16}M${x} ${y - 16}V${y + 16}` }, "cross");
}

function draw() {
  image.style.width = `${image.naturalWidth * shown}px`;
  drawn.setAttribute("width", image.naturalWidth * shown);
  drawn.setAttribute("height", image.naturalHeight * shown);
  drawn.replaceChildren(
    ...path(points.scale, "scale"), ...path(points.outline, "outline", isClosed), ...path(points.line, "line"),
    ...STEPS.flatMap(({ key }) => points[key].flatMap((point) => dot(point, key))),
    ...(cross ? crossAt(cross) : []));
}

function tell() {
  const now = step();
  const counted = now && points[now.key].length ? ` ${points[now.key].length} set.` : "";
  const close = now?.key === "outline" && points.outline.length >= FEWEST ? " Then press “The outline is complete”." : "";
  part("step").textContent = now ? `${now.says}${counted}${close}` : "All points are set.";
  part("close").hidden = !close;
  part("undo").disabled = points.scale.length === 0;
  draw();
}

// --- the answer --------------------------------------------------------------------------

let found = null;
let chosen = ""; // what the maker picked; nothing yet
const ask = latest((question) => post(form.dataset.trace, question), showFound, refuse);

function forget() {
  found = null;
  part("found").hidden = true;
  part("problem").hidden = true;
  distance.removeAttribute("aria-invalid");
}

// A shape that the station may have, with how well it fits. The maker's own choice is kept.
function choice({ key, label, told, fields }, isProposed) {
  const isChosen = chosen ? key === chosen : isProposed;
  const input = make("input", { type: "radio", name: "trace-choice", value: key, checked: isChosen });
  input.addEventListener("input", (event) => {
    event.stopPropagation(); // no field of the form
    chosen = key;
    found = fields;
  });
  input.addEventListener("keydown", (event) => {
    if (event.key === "Enter") event.preventDefault(); // which would save the form
  });
  if (isChosen) found = fields;
  return make("label", { className: "check" }, input, make("span", {}, make("strong", {}, label),
    isProposed ? " (proposed)" : "", make("small", {}, told)));
}

function showFound(answer) {
  if (step()) return; // taken back meanwhile
  forget();
  part("told").textContent = answer.told;
  part("choices").replaceChildren(...answer.choices.map((each) => choice(each, each.key === answer.proposed)));
  part("names").replaceChildren(...names().map((value) => make("option", { value })));
  part("found").hidden = false;
}

function refuse({ details }) {
  forget();
  part("problem").textContent = details.message;
  part("problem").hidden = false;
  if (details.field === "distance") distance.setAttribute("aria-invalid", "true");
}

function work() {
  if (step()) return;
  if (distance.value.trim()) ask({ ...points, distance: distance.value, coarseness });
  else {
    part("step").textContent = "All points are set. Now type what lies between the two marks of the card.";
    distance.focus();
  }
}

function put() {
  const name = part("name").value;
  const position = part("position").value;
  const known = name.trim() ? rowNamed(name) : null;
  const missing = !name.trim() ? "name" : !position.trim() && !known ? "position" : "";
  if (missing) {
    part("said").textContent = missing === "name" ? "Give the station a name first." : "Say first where along the bait it lies.";
    part(missing).focus();
    return;
  }
  putStation(name, position, found, photo);
  part("said").textContent = `${name.trim()} stands below, under Stations. Save to keep it.`;
}

// --- points ------------------------------------------------------------------------------

function add(point) {
  const now = step();
  if (!now || !image) return;
  const [first] = points.outline;
  const closes = now.key === "outline" && points.outline.length >= FEWEST
    && Math.hypot(point[0] - first[0], point[1] - first[1]) * shown < NEAR;
  if (closes) isClosed = true;
  else {
    points[now.key].push(point);
    coarseness = Math.max(coarseness, 1 / shown);
  }
  cross = point;
  tell();
  work();
}

function undo() {
  forget();
  const last = [...STEPS].reverse().find(({ key }) => points[key].length);
  if (!last) return;
  if (last.key === "outline" && isClosed) isClosed = false;
  else points[last.key].pop();
  tell();
}

function close() {
  if (step()?.key !== "outline" || points.outline.length < FEWEST) return;
  isClosed = true;
  tell();
  stage.focus({ preventScroll: true });
}

// --- looking -----------------------------------------------------------------------------

const whole = () => Math.min(stage.clientWidth / image.naturalWidth, (window.innerHeight * 0.7) / image.naturalHeight);

function look(factor) {
  const before = shown;
  const wanted = factor === null ? whole() : before * factor;
  shown = Math.max(Math.min(wanted, Math.max(MOST_ZOOM, whole())), Math.min(whole(), before));
  const middle = [stage.scrollLeft + stage.clientWidth / 2, stage.scrollTop + stage.clientHeight / 2];
  draw();
  const [x, y] = cross && factor !== null ? at(cross) : middle.map((each) => (each * shown) / before);
  stage.scrollTo(x - stage.clientWidth / 2, y - stage.clientHeight / 2);
}

function move(x, y) {
  const limit = (value, most) => Math.max(0, Math.min(value, most));
  const [from, down] = cross ?? [image.naturalWidth / 2, image.naturalHeight / 2];
  cross = [limit(from + x / shown, image.naturalWidth), limit(down + y / shown, image.naturalHeight)];
  draw();
  const [left, top] = at(cross);
  const edge = 40;
  if (left < stage.scrollLeft + edge) stage.scrollLeft = left - edge;
  if (left > stage.scrollLeft + stage.clientWidth - edge) stage.scrollLeft = left - stage.clientWidth + edge;
  if (top < stage.scrollTop + edge) stage.scrollTop = top - edge;
  if (top > stage.scrollTop + stage.clientHeight - edge) stage.scrollTop = top - stage.clientHeight + edge;
}

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
function key(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const way = ARROWS[event.key];
  if (way) {
    const stride = event.shiftKey ? 1 : STRIDE;
    move(way[0] * stride, way[1] * stride);
  } else if (event.key === "Enter") {
    if (cross) add(cross);
    else move(0, 0);
  } else if (event.key === "Backspace") undo();
  else if (event.key === "+" || event.key === "=") look(1.5);
  else if (event.key === "-" || event.key === "−") look(1 / 1.5);
  else if (event.key.toLowerCase() === "c") close();
  else return;
  event.preventDefault();
}

function begin() {
  points = { scale: [], outline: [], line: [], back: [] };
  isClosed = false;
  coarseness = 0;
  chosen = "";
  cross = null;
  part("said").textContent = "";
  forget();
}

export async function openPhoto(code) {
  begin();
  photo = code;
  tracer.hidden = false;
  image = make("img", { src: `/photos/${code}`, alt: "Photo of a slice" });
  image.draggable = false;
  drawn = document.createElementNS(SVG, "svg");
  drawn.setAttribute("aria-hidden", "true");
  sheet.replaceChildren(image, drawn);
  try {
    await image.decode();
  } catch {
    refuse({ details: { message: "This photo cannot be shown: it is damaged. Take it again." } });
    return;
  }
  if (photo !== code) return; // another was opened meanwhile
  shown = whole();
  tell();
  stage.focus({ preventScroll: true }); // first: it sets the drawn body loose
  tracer.scrollIntoView({ block: "start" });
}

sheet.addEventListener("click", ({ clientX, clientY }) => {
  const { left, top } = sheet.getBoundingClientRect();
  add([(clientX - left) / shown, (clientY - top) / shown]);
});
stage.addEventListener("keydown", key);
part("undo").addEventListener("click", undo);
part("close").addEventListener("click", close);
part("larger").addEventListener("click", () => look(1.5));
part("smaller").addEventListener("click", () => look(1 / 1.5));
part("whole").addEventListener("click", () => look(null));
part("put").addEventListener("click", put);
// Of these fields none belongs to the form: the form must neither hear them nor be sent by Enter.
for (const input of ["distance", "name", "position"].map(part)) {
  input.addEventListener("input", (event) => event.stopPropagation());
  input.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    if (input === distance) work();
    else put();
  });
}
distance.addEventListener("input", () => {
  forget();
  if (!step() && distance.value.trim()) work();
});
