// Showing where a slice or a bait lies in a kept photo, by finger, mouse or keyboard. One point is a
// tap, three and more an outline; what they say is worked out by the program.

import { make } from "./page.js";
import { Refusal, post } from "./wire.js";

const part = (name) => document.getElementById(`point-${name}`);
const form = part("form");
const stage = part("stage");
const sheet = part("sheet");
const pocket = part("pocket");
const STRIDE = 10;
const MOST_ZOOM = 4;
const MOST_POINTS = 100;
const SVG = "http://www.w3.org/2000/svg";

const points = Object.fromEntries([...pocket.options].map(({ value }) => [value, []]));
let shown = 1; // pixels of the screen for one of the photo
let cross = null;

const image = make("img", { src: form.dataset.image, alt: "The photo, as large as it was taken" });
image.draggable = false;
const drawn = document.createElementNS(SVG, "svg");
drawn.setAttribute("aria-hidden", "true");
sheet.replaceChildren(image, drawn);

const here = () => points[pocket.value];
const at = ([x, y]) => [x * shown, y * shown];

// Each line twice: pale under dark, to be seen on any photo.
function both(name, attributes, className) {
  return ["halo", "mark"].map((layer) => {
    const element = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    element.setAttribute("class", `${layer} ${className}`);
    return element;
  });
}

function draw() {
  image.style.width = `${image.naturalWidth * shown}px`;
  drawn.setAttribute("width", image.naturalWidth * shown);
  drawn.setAttribute("height", image.naturalHeight * shown);
  const outline = here().length > 1
    ? both("path", { d: `M${here().map((each) => at(each).join(" ")).join("L")}Z` }, "outline") : [];
  const dots = here().flatMap((each) => both("circle", { cx: at(each)[0], cy: at(each)[1], r: 5 }, "dot"));
  const [x, y] = cross ? at(cross) : [0, 0];
  const mark = cross ? both("path", { d: `M${x - 16} ${y}H${x + 16}M${x} ${y - 16}V${y + 16}` }, "cross") : [];
  drawn.replaceChildren(...outline, ...dots, ...mark);
}

function tell() {
  const count = here().length;
  const words = pocket.selectedOptions[0].textContent;
  part("step").textContent = [
    `No point set: ${words} is found by itself. Tap its middle to show where it lies.`,
    `One point: ${words} is looked for round it.`,
    "Two points: set a third for an outline, or take one back.",
  ][count] ?? `${count} points: the outline of ${words}.`;
  part("measure").disabled = count === 2;
  part("undo").disabled = count === 0;
  draw();
}

function add(point) {
  if (here().length >= MOST_POINTS) return;
  cross = point;
  here().push(point);
  tell();
}

function undo() {
  here().pop();
  tell();
}

const whole = () => Math.min(stage.clientWidth / image.naturalWidth, (window.innerHeight * 0.7) / image.naturalHeight);

function look(factor) {
  const before = shown;
  shown = Math.max(Math.min(before * factor, Math.max(MOST_ZOOM, whole())), Math.min(whole(), before));
  const middle = [stage.scrollLeft + stage.clientWidth / 2, stage.scrollTop + stage.clientHeight / 2];
  draw();
  const [x, y] = cross ? at(cross) : middle.map((each) => (each * shown) / before);
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
  else return;
  event.preventDefault();
}

function problem(text) {
  part("problem").textContent = text;
  part("problem").hidden = !text;
}

async function measure() {
  const { subject } = pocket.selectedOptions[0].dataset;
  const pointed = {};
  for (const option of pocket.options) {
    const set = points[option.value];
    if (option.dataset.subject !== subject || set.length === 0) continue;
    pointed[option.value] = set.length === 1 ? { tap: set[0] } : { outline: set };
  }
  problem("");
  part("measure").disabled = true;
  part("step").textContent = "Measuring it …";
  try {
    await post(form.dataset.send, { subject, pointed, day: part("day").value, shot: part("shot").value });
    window.location.reload();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    tell();
    problem(`${error.details.message} What stood before stands.`);
  }
}

sheet.addEventListener("click", ({ clientX, clientY }) => {
  const { left, top } = sheet.getBoundingClientRect();
  add([(clientX - left) / shown, (clientY - top) / shown]);
});
stage.addEventListener("keydown", key);
pocket.addEventListener("change", tell);
part("undo").addEventListener("click", undo);
part("larger").addEventListener("click", () => look(1.5));
part("smaller").addEventListener("click", () => look(1 / 1.5));
part("measure").addEventListener("click", measure);
form.addEventListener("submit", (event) => event.preventDefault());

image.decode().then(() => {
  shown = whole();
  form.inert = false;
  tell();
}).catch(() => {
  form.inert = false;
  problem("This photo cannot be shown: it is damaged. Take it again.");
});
