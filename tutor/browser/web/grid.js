// A grid of styled cells, fed with what a terminal is sent. It knows the sequences that the
// tutor's screen library writes; any other sequence is passed over whole.

export const BOLD = 1, ITALIC = 2, UNDERLINE = 4, STRIKE = 8, REVERSE = 16, DIM = 32;
export const DEFAULT = -1; // a colour: otherwise 0xRRGGBB

const LONGEST_SEQUENCE = 100_000;

const SIXTEEN = [
  0x000000, 0xaa0000, 0x00aa00, 0xaa5500, 0x0000aa, 0xaa00aa, 0x00aaaa, 0xaaaaaa,
  0x555555, 0xff5555, 0x55ff55, 0xffff55, 0x5555ff, 0xff55ff, 0x55ffff, 0xffffff,
];

function indexed(n) {
  if (n < 16) return SIXTEEN[n];
  if (n > 231) return (8 + 10 * (n - 232)) * 0x010101;
  const level = (k) => (k ? 55 + 40 * k : 0);
  const i = n - 16;
  return (level(Math.floor(i / 36)) << 16) | (level(Math.floor(i / 6) % 6) << 8) | level(i % 6);
}

const MARK = /^[\p{M}\u200b-\u200f\u2060\ufe0f]$/u;
const PICTURE = /^\p{Emoji_Presentation}$/u;

// Columns that a character takes: marks none, East Asian letters and pictures two.
export function width(character) {
  const code = character.codePointAt(0);
  if (code < 0x300) return 1;
  if (MARK.test(character)) return 0;
  const wide =
    (code >= 0x1100 && code <= 0x115f) ||
    (code >= 0x2e80 && code <= 0x303e) ||
    (code >= 0x3041 && code <= 0xa4cf) ||
    (code >= 0xac00 && code <= 0xd7a3) ||
    (code >= 0xf900 && code <= 0xfaff) ||
    (code >= 0xfe30 && code <= 0xfe6f) ||
    (code >= 0xff00 && code <= 0xff60) ||
    (code >= 0xffe0 && code <= 0xffe6) ||
    (code >= 0x20000 && code <= 0x3fffd) ||
    PICTURE.test(character);
  return wide ? 2 : 1;
}

export class Grid {
  constructor(columns, rows) {
    this.hold = false; // between the begin and the end of one update
    this.onpointer = () => {};
    this.oncopy = () => {};
    this.rest = "";
    this.decoder = new TextDecoder();
    this.plain();
    this.resize(columns, rows);
  }

  resize(columns, rows) {
    this.columns = columns;
    this.rows = rows;
    const size = columns * rows;
    this.text = new Array(size).fill(" "); // "" is the right half of what stands before it
    this.ink = new Int32Array(size).fill(DEFAULT);
    this.ground = new Int32Array(size).fill(DEFAULT);
    this.look = new Uint8Array(size);
    this.dirty = new Uint8Array(rows).fill(1);
    this.x = this.y = 0;
  }

  plain() {
    this.nowInk = this.nowGround = DEFAULT;
    this.nowLook = 0;
  }

  feed(bytes) {
    const text = this.rest + this.decoder.decode(bytes, { stream: true });
    let i = 0;
    while (i < text.length) {
      const code = text.charCodeAt(i);
      if (code === 27) {
        const used = this.escape(text, i);
        if (!used) break; // it goes on in what comes next
        i += used;
      } else if (code < 32 || code === 127) {
        if (code === 10) this.y = Math.min(this.y + 1, this.rows - 1);
        if (code === 13) this.x = 0;
        if (code === 8) this.x = Math.max(this.x - 1, 0);
        i += 1;
      } else {
        const character = String.fromCodePoint(text.codePointAt(i));
        this.put(character);
        i += character.length;
      }
    }
    this.rest = text.length - i > LONGEST_SEQUENCE ? "" : text.slice(i);
  }

  put(character) {
    const wide = width(character);
    const row = this.y * this.columns;
    if (!wide) {
      if (this.x > 0 && this.x <= this.columns) {
        let at = row + this.x - 1;
        if (this.text[at] === "" && this.x > 1) at -= 1;
        this.text[at] += character;
        this.dirty[this.y] = 1;
      }
      return;
    }
    for (let k = 0; k < wide; k += 1) {
      if (this.x >= this.columns) return; // the tutor moves to each line: nothing wraps
      const at = row + this.x;
      this.text[at] = k ? "" : character;
      this.ink[at] = this.nowInk;
      this.ground[at] = this.nowGround;
      this.look[at] = this.nowLook;
      this.x += 1;
    }
    this.dirty[this.y] = 1;
  }

  erase(from, to) {
    for (let at = from; at < to; at += 1) {
      this.text[at] = " ";
      this.ink[at] = DEFAULT;
      this.ground[at] = this.nowGround;
      this.look[at] = 0;
    }
    this.dirty.fill(1);
  }

  // The characters that the sequence at i takes; 0 if its end has not come yet.
  escape(text, i) {
    const kind = text[i + 1];
    if (kind === undefined) return 0;
    if (kind === "[") {
      let end = i + 2;
      while (end < text.length && !(text[end] >= "@" && text[end] <= "~")) end += 1;
      if (end === text.length) return 0;
      this.control(text[end], text.slice(i + 2, end));
      return end - i + 1;
    }
    if ("]P_^X".includes(kind)) {
      const end = /\x07|\x1b\\/g;
      end.lastIndex = i + 2;
      const found = end.exec(text);
      if (!found) return 0;
      if (kind === "]") this.command(text.slice(i + 2, found.index));
      return end.lastIndex - i;
    }
    const length = "()*+#%".includes(kind) ? 3 : 2;
    return i + length <= text.length ? length : 0;
  }

  control(final, words) {
    const first = words[0];
    if (first === "?") {
      const on = final === "h";
      if ((on || final === "l") && words === "?2026") this.hold = on;
      return;
    }
    if (first === "<" || first === ">" || first === "=") return;
    const numbers = words.split(/[;:]/).map((word) => parseInt(word, 10) || 0);
    const count = Math.max(numbers[0], 1);
    const size = this.columns * this.rows;
    const here = this.y * this.columns + this.x;
    switch (final) {
      case "m":
        this.style(numbers);
        break;
      case "H":
      case "f":
        this.y = Math.min(count, this.rows) - 1;
        this.x = Math.min(Math.max(numbers[1] || 1, 1), this.columns) - 1;
        break;
      case "A":
        this.y = Math.max(this.y - count, 0);
        break;
      case "B":
        this.y = Math.min(this.y + count, this.rows - 1);
        break;
      case "C":
        this.x = Math.min(this.x + count, this.columns - 1);
        break;
      case "D":
        this.x = Math.max(this.x - count, 0);
        break;
      case "G":
        this.x = Math.min(count, this.columns) - 1;
        break;
      case "J":
        this.erase(numbers[0] ? 0 : here, numbers[0] === 1 ? here : size);
        break;
      case "K": {
        const row = this.y * this.columns;
        this.erase(numbers[0] ? row : here, numbers[0] === 1 ? here : row + this.columns);
        break;
      }
      default:
    }
  }

  style(numbers) {
    for (let i = 0; i < numbers.length; i += 1) {
      const n = numbers[i];
      if (n === 0) this.plain();
      else if (n === 1) this.nowLook |= BOLD;
      else if (n === 2) this.nowLook |= DIM;
      else if (n === 3) this.nowLook |= ITALIC;
      else if (n === 4 || n === 21) this.nowLook |= UNDERLINE;
      else if (n === 7) this.nowLook |= REVERSE;
      else if (n === 9) this.nowLook |= STRIKE;
      else if (n === 22) this.nowLook &= ~(BOLD | DIM);
      else if (n === 23) this.nowLook &= ~ITALIC;
      else if (n === 24) this.nowLook &= ~UNDERLINE;
      else if (n === 27) this.nowLook &= ~REVERSE;
      else if (n === 29) this.nowLook &= ~STRIKE;
      else if (n === 39) this.nowInk = DEFAULT;
      else if (n === 49) this.nowGround = DEFAULT;
      else if (n >= 30 && n < 38) this.nowInk = SIXTEEN[n - 30];
      else if (n >= 40 && n < 48) this.nowGround = SIXTEEN[n - 40];
      else if (n >= 90 && n < 98) this.nowInk = SIXTEEN[n - 82];
      else if (n >= 100 && n < 108) this.nowGround = SIXTEEN[n - 92];
      else if (n === 38 || n === 48) {
        let colour = DEFAULT;
        if (numbers[i + 1] === 2) {
          const [r, g, b] = numbers.slice(i + 2, i + 5);
          colour = ((r & 255) << 16) | ((g & 255) << 8) | (b & 255);
          i += 4;
        } else if (numbers[i + 1] === 5) {
          colour = indexed(numbers[i + 2] & 255);
          i += 2;
        }
        if (n === 38) this.nowInk = colour;
        else this.nowGround = colour;
      }
    }
  }

  command(words) {
    const [number, ...rest] = words.split(";");
    if (number === "22") this.onpointer(rest.join(";"));
    if (number === "52" && rest[0] === "c" && rest[1] !== "?") {
      try {
        const bytes = Uint8Array.from(atob(rest[1]), (c) => c.charCodeAt(0));
        this.oncopy(new TextDecoder().decode(bytes));
      } catch {
        // no base64: nothing is copied
      }
    }
  }

  // All that is shown, as lines of text.
  lines() {
    const lines = [];
    for (let y = 0; y < this.rows; y += 1) {
      lines.push(this.text.slice(y * this.columns, (y + 1) * this.columns).join("").trimEnd());
    }
    return lines.join("\n");
  }
}
