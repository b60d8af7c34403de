// Keyboard, clipboard and mouse, as the messages that the tutor takes.

const NAMED = new Map([
  ["Enter", "enter"], ["Tab", "tab"], ["Backspace", "backspace"], ["Escape", "escape"],
  ["Delete", "delete"], ["Insert", "insert"], ["ArrowUp", "up"], ["ArrowDown", "down"],
  ["ArrowLeft", "left"], ["ArrowRight", "right"], ["Home", "home"], ["End", "end"],
  ["PageUp", "pageup"], ["PageDown", "pagedown"],
]);
const LONGEST_TEXT = 256;

// The tutor's name for a key, or null where the browser or the text field shall have it.
export function keyName(event) {
  const { key, ctrlKey, altKey, shiftKey, metaKey } = event;
  if (metaKey || event.isComposing || event.getModifierState("AltGraph")) return null;
  let name = NAMED.get(key);
  if (!name && /^F([1-9]|10)$/.test(key)) name = key.toLowerCase(); // F11, F12: the browser's
  if (name === "insert" && shiftKey) return null; // an old way to paste
  if (name) {
    const modifiers = [altKey && "alt", ctrlKey && "ctrl", shiftKey && "shift"].filter(Boolean);
    return [...modifiers, name].join("+");
  }
  // Ctrl with a letter is the tutor's, but for pasting; with Shift it is the browser's.
  if (ctrlKey && !altKey && !shiftKey && /^[a-z]$/i.test(key) && key.toLowerCase() !== "v") {
    return `ctrl+${key.toLowerCase()}`;
  }
  return null;
}

// Listens to a text field that has the keyboard, and to a canvas that has the mouse.
export function listen(field, canvas, { send, cellAt, longestPaste, cut }) {
  field.addEventListener("keydown", (event) => {
    const name = keyName(event);
    if (!name) return;
    event.preventDefault();
    send(["key", name]);
  });
  const typed = () => {
    const text = field.value;
    field.value = "";
    for (let i = 0; i < text.length; i += LONGEST_TEXT) {
      send(["text", text.slice(i, i + LONGEST_TEXT)]);
    }
  };
  field.addEventListener("input", (event) => {
    if (!event.isComposing) typed();
  });
  field.addEventListener("compositionend", typed);
  field.addEventListener("paste", (event) => {
    event.preventDefault();
    const text = event.clipboardData.getData("text/plain");
    if (text.length > longestPaste) cut();
    if (text) send(["paste", text.slice(0, longestPaste)]);
  });
  field.addEventListener("drop", (event) => event.preventDefault());
  field.addEventListener("focus", () => send(["focus", true]));
  field.addEventListener("blur", () => send(["focus", false]));

  let last = null;
  let down = false;
  const mouse = (what, event, button) => {
    const cell = cellAt(event);
    const place = cell.join();
    if (what === "move" && place === last) return;
    last = place;
    send(["mouse", what, ...cell, button, event.shiftKey, event.ctrlKey]);
  };
  canvas.addEventListener("mousedown", (event) => {
    event.preventDefault();
    field.focus();
    if (event.button === 0) {
      down = true;
      mouse("down", event, 1);
    }
  });
  window.addEventListener("mouseup", (event) => {
    if (down && event.button === 0) {
      down = false;
      mouse("up", event, 1);
    }
  });
  canvas.addEventListener("mousemove", (event) => mouse("move", event, down ? 1 : 0));
  let turned = 0;
  canvas.addEventListener(
    "wheel",
    (event) => {
      if (event.ctrlKey) return; // the browser's zoom
      event.preventDefault();
      // In pixels or in lines; one step of a common wheel is some 100 pixels or 3 lines.
      turned += event.deltaMode === 0 ? event.deltaY / 40 : event.deltaY;
      for (let k = 0; Math.abs(turned) >= 1 && k < 20; k += 1) {
        mouse(turned > 0 ? "scroll-down" : "scroll-up", event, 0);
        turned -= Math.sign(turned);
      }
    },
    { passive: false },
  );
}
