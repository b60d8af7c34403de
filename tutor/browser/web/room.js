// The page: the door where a name is given, the connection, and the tutor's screen.

import { Grid } from "./grid.js";
import { Painter } from "./painter.js";
import { listen } from "./hands.js";

const { words, longestPaste } = JSON.parse(document.getElementById("data").textContent);
const at = (id) => document.getElementById(id);
const header = document.querySelector("header");
const door = at("door"), room = at("room"), stage = at("stage"), canvas = at("screen");
const field = at("keys"), nameField = at("name"), button = at("come-in");

const LEAST = [80, 24]; // what the tutor likes to have
const SMALLEST_TEXT = 8, LARGEST_TEXT = 40;
const POINTERS = new Set(["default", "pointer", "text", "crosshair", "grab", "ew-resize"]);

const painter = new Painter(canvas);
let grid = new Grid(...LEAST);
let socket = null;
let textSize = Number(kept("text-size")); // in CSS pixels; 0 for what suits the window

// The page may be shown where it is allowed to keep nothing: then nothing is kept.
function kept(key, value) {
  try {
    if (value !== undefined) sessionStorage.setItem(key, value);
    return sessionStorage.getItem(key);
  } catch {
    return null;
  }
}

// Size: as large as asked for, and smaller rather than less than the tutor likes to have. On a
// large screen text grows, too, so that it can be read from further away.

function suiting() {
  const size = Math.round(Math.min(stage.clientWidth / 90, stage.clientHeight / 54));
  return Math.min(Math.max(size, 16), 28);
}

function fit() {
  const { clientWidth: wide, clientHeight: high } = stage;
  let size = textSize || suiting();
  painter.measure(size);
  let [columns, rows] = painter.fit(wide, high);
  while ((columns < LEAST[0] || rows < LEAST[1]) && size > SMALLEST_TEXT) {
    size -= 0.5;
    painter.measure(size);
    [columns, rows] = painter.fit(wide, high);
  }
  columns = Math.min(Math.max(columns, 10), 400);
  rows = Math.min(Math.max(rows, 4), 200);
  const changed = columns !== grid.columns || rows !== grid.rows;
  if (changed) grid.resize(columns, rows);
  painter.place(grid, wide, high);
  paint();
  return changed;
}

let refitting = 0;
function refit() {
  if (room.hidden) return;
  clearTimeout(refitting);
  refitting = setTimeout(() => {
    if (fit()) send(["size", grid.columns, grid.rows]);
  }, 60);
}

new ResizeObserver(refit).observe(stage);
window.addEventListener("resize", refit);

// Painting: once a frame at most, and never half an update.

let painting = false, mirroring = 0;
function paint() {
  if (painting) return;
  painting = true;
  requestAnimationFrame(() => {
    painting = false;
    if (grid.hold) return;
    painter.paint(grid);
    dress();
    clearTimeout(mirroring);
    mirroring = setTimeout(() => {
      if (!room.hidden) at("mirror").textContent = grid.lines();
    }, 120);
  });
}

// The line above the tutor has the colours of the tutor's own first line, in each of its themes.
function dress() {
  [header.style.background, header.style.color] = painter.firstLine(grid);
}

function hear(made) {
  made.onpointer = (shape) => (canvas.style.cursor = POINTERS.has(shape) ? shape : "default");
  made.oncopy = (text) => navigator.clipboard?.writeText(text).catch(() => {});
}

// The connection

function send(message) {
  if (socket?.readyState !== WebSocket.OPEN || room.hidden) return;
  if (["key", "text", "paste", "mouse"].includes(message[0])) note("");
  socket.send(JSON.stringify(message));
}

function enter(name) {
  button.disabled = true;
  button.textContent = words.starting;
  say("");
  let said = words.lost;
  // The tutor begins with the size of the stage, which must be there, and alone, to be measured.
  door.hidden = true;
  room.hidden = false;
  grid = new Grid(...LEAST);
  hear(grid);
  fit();
  door.hidden = false;
  room.hidden = true;

  const opened = new WebSocket(`ws://${location.host}/tutor`);
  socket = opened;
  opened.binaryType = "arraybuffer";
  opened.onopen = () => opened.send(JSON.stringify(["enter", name, grid.columns, grid.rows]));
  opened.onmessage = ({ data }) => {
    if (typeof data !== "string") {
      if (room.hidden) show();
      grid.feed(new Uint8Array(data));
      paint();
      return;
    }
    const [kind, value] = JSON.parse(data);
    if (kind === "welcome") {
      at("who").textContent = value;
      document.title = `${value} – Rungwise`;
    }
    if (kind === "refused" || kind === "ended") said = value;
    if (kind === "idle") note(words.idle.replace("{seconds}", value));
  };
  opened.onclose = () => {
    if (socket === opened) away(said);
  };
}

function show() {
  door.hidden = true;
  room.hidden = false;
  if (fit()) send(["size", grid.columns, grid.rows]);
  field.focus();
  send(["focus", document.hasFocus()]);
}

function away(said) {
  socket = null;
  const wasIn = !room.hidden;
  room.hidden = true;
  door.hidden = false;
  note("");
  say(said);
  at("mirror").textContent = "";
  document.title = "Rungwise";
  button.disabled = false;
  button.textContent = wasIn ? words.again : words["come-in"];
  (wasIn ? button : nameField).focus();
}

function say(text) {
  at("said").textContent = text;
  at("said").hidden = !text;
}

function note(text) {
  if (at("note").textContent !== text) at("note").textContent = text;
}

at("card").addEventListener("submit", (event) => {
  event.preventDefault();
  if (socket) return;
  kept("name", nameField.value);
  enter(nameField.value);
});

nameField.value = kept("name") || "";

listen(field, canvas, {
  send,
  longestPaste,
  cut: () => setTimeout(() => note(words["paste-cut"])),
  cellAt: (event) => {
    const box = canvas.getBoundingClientRect();
    return painter.cellAt(grid, event.clientX - box.left, event.clientY - box.top);
  },
});

function resizeText(by) {
  textSize = Math.min(Math.max((textSize || suiting()) + by, SMALLEST_TEXT), LARGEST_TEXT);
  kept("text-size", textSize);
  refit();
  field.focus();
}
at("smaller").addEventListener("click", () => resizeText(-2));
at("larger").addEventListener("click", () => resizeText(2));
at("leave").addEventListener("click", () => socket?.close());
window.addEventListener("focus", () => {
  if (!room.hidden) field.focus();
});
