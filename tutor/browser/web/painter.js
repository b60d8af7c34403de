// Paints a grid onto a canvas, cell by cell, in device pixels; only lines that have changed.

import { BOLD, DEFAULT, DIM, ITALIC, REVERSE, STRIKE, UNDERLINE } from "./grid.js";
import { draw } from "./glyphs.js";

// Fonts of the visitor's machine, those with all signs of a drawing first; none is loaded.
const FONTS =
  '"DejaVu Sans Mono", "Cascadia Mono", "SF Mono", Menlo, Consolas, "Noto Sans Mono", ' +
  '"Liberation Mono", monospace';
const INK = 0xe8e3d9, GROUND = 0x15181b;

const names = new Map();
function css(colour) {
  let name = names.get(colour);
  if (!name) {
    if (names.size > 4096) names.clear();
    name = "#" + colour.toString(16).padStart(6, "0");
    names.set(colour, name);
  }
  return name;
}

export class Painter {
  constructor(canvas) {
    this.canvas = canvas;
    this.ink = canvas.getContext("2d", { alpha: false });
    this.widths = new Map();
  }

  // Takes a size of text, in CSS pixels; afterwards cell.w and cell.h are known.
  measure(size) {
    this.ratio = window.devicePixelRatio || 1;
    this.size = Math.round(size * this.ratio);
    this.widths.clear();
    this.ink.font = this.font(0);
    const metrics = this.ink.measureText("M");
    const up = metrics.fontBoundingBoxAscent, down = metrics.fontBoundingBoxDescent;
    const high = Math.round(Math.max(up + down, this.size * 1.2));
    this.cell = {
      w: Math.max(1, Math.round(metrics.width)),
      h: high,
      base: Math.round((high - up - down) / 2 + up),
    };
  }

  font(look) {
    return `${look & ITALIC ? "italic " : ""}${look & BOLD ? "bold " : ""}${this.size}px ${FONTS}`;
  }

  // Columns and rows that fit into a box, in CSS pixels.
  fit(width, height) {
    return [
      Math.floor((width * this.ratio) / this.cell.w),
      Math.floor((height * this.ratio) / this.cell.h),
    ];
  }

  // Covers a box, in CSS pixels, with the grid: what is left over goes to the sides and above.
  place(grid, width, height) {
    const { canvas, cell, ratio } = this;
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
    canvas.style.width = `${width}px`;
    canvas.style.height = `${height}px`;
    this.left = Math.max(0, Math.floor((canvas.width - grid.columns * cell.w) / 2));
    this.top = Math.max(0, canvas.height - grid.rows * cell.h);
    grid.dirty.fill(1);
  }

  // Column and row under a point of the canvas, in CSS pixels.
  cellAt(grid, x, y) {
    const count = (from, size, most) => Math.min(Math.max(Math.floor(from / size), 0), most - 1);
    return [
      count(x * this.ratio - this.left, this.cell.w, grid.columns),
      count(y * this.ratio - this.top, this.cell.h, grid.rows),
    ];
  }

  paint(grid) {
    for (let y = 0; y < grid.rows; y += 1) {
      if (grid.dirty[y]) this.row(grid, y);
    }
    grid.dirty.fill(0);
  }

  colours(grid, at) {
    let ink = grid.ink[at] === DEFAULT ? INK : grid.ink[at];
    let ground = grid.ground[at] === DEFAULT ? GROUND : grid.ground[at];
    if (grid.look[at] & REVERSE) [ink, ground] = [ground, ink];
    return [ink, ground];
  }

  row(grid, y) {
    const { w, h } = this.cell, { ink, left } = this;
    const first = y * grid.columns, top = this.top + y * h;
    for (let x = 0; x < grid.columns; ) {
      const ground = this.colours(grid, first + x)[1];
      let to = x + 1;
      while (to < grid.columns && this.colours(grid, first + to)[1] === ground) to += 1;
      ink.fillStyle = css(ground);
      // The ground at the edge of the grid goes on to the edge of the canvas.
      const from = x ? left + x * w : 0, end = to < grid.columns ? left + to * w : this.canvas.width;
      ink.fillRect(from, top, end - from, h);
      x = to;
    }
    if (y === 0) {
      ink.fillStyle = this.firstLine(grid)[0];
      ink.fillRect(0, 0, this.canvas.width, top);
    }
    let font = null;
    for (let x = 0; x < grid.columns; x += 1) {
      const at = first + x, text = grid.text[at], look = grid.look[at];
      if (text === "" || (text === " " && !(look & (UNDERLINE | STRIKE)))) continue;
      const from = left + x * w;
      const cells = x + 1 < grid.columns && grid.text[at + 1] === "" ? 2 : 1;
      ink.fillStyle = ink.strokeStyle = css(this.colours(grid, at)[0]);
      ink.globalAlpha = look & DIM ? 0.6 : 1;
      const code = text.codePointAt(0);
      if (!draw(ink, code, from, top, w, h)) {
        const style = look & (BOLD | ITALIC);
        if (style !== font) {
          ink.font = this.font(style);
          font = style;
        }
        this.letter(text, style, from, top + this.cell.base, cells * w, code);
      }
      const thick = Math.max(1, Math.round(h / 18));
      if (look & UNDERLINE) ink.fillRect(from, top + this.cell.base + thick, cells * w, thick);
      if (look & STRIKE) ink.fillRect(from, top + Math.round(h * 0.55), cells * w, thick);
    }
    ink.globalAlpha = 1;
  }

  // A letter of another font may be wider than its cells: it is squeezed, for it must not run
  // into the next one; a narrower one stands in the middle.
  letter(text, style, x, base, room, code) {
    const { ink } = this;
    if (code < 0x7f) {
      ink.fillText(text, x, base);
      return;
    }
    const key = style + text;
    let wide = this.widths.get(key);
    if (wide === undefined) {
      if (this.widths.size > 4096) this.widths.clear();
      wide = ink.measureText(text).width;
      this.widths.set(key, wide);
    }
    if (wide > room * 1.02) {
      ink.save();
      ink.translate(x, base);
      ink.scale(room / wide, 1);
      ink.fillText(text, 0, 0);
      ink.restore();
    } else {
      ink.fillText(text, x + (wide < room * 0.9 ? (room - wide) / 2 : 0), base);
    }
  }

  // The colours of the tutor's first line, and of words upon it.
  firstLine(grid) {
    const panel = this.colours(grid, grid.columns - 1)[1];
    const [r, g, b] = [panel >> 16, (panel >> 8) & 255, panel & 255];
    return [css(panel), css(0.299 * r + 0.587 * g + 0.114 * b < 128 ? INK : GROUND)];
  }
}
