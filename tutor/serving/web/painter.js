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

  place(grid) {
    const { w, h } = this.cell;
    this.canvas.width = grid.columns * w;
    this.canvas.height = grid.rows * h;
    this.canvas.style.width = `${(grid.columns * w) / this.ratio}px`;
    this.canvas.style.height = `${(grid.rows * h) / this.ratio}px`;
    grid.dirty.fill(1);
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
    const { w, h } = this.cell, { ink } = this;
    const first = y * grid.columns, top = y * h;
    for (let x = 0; x < grid.columns; ) {
      const ground = this.colours(grid, first + x)[1];
      let to = x + 1;
      while (to < grid.columns && this.colours(grid, first + to)[1] === ground) to += 1;
      ink.fillStyle = css(ground);
      ink.fillRect(x * w, top, (to - x) * w, h);
      x = to;
    }
    let font = null;
    for (let x = 0; x < grid.columns; x += 1) {
      const at = first + x, text = grid.text[at], look = grid.look[at];
      if (text === "" || (text === " " && !(look & (UNDERLINE | STRIKE)))) continue;
      const cells = x + 1 < grid.columns && grid.text[at + 1] === "" ? 2 : 1;
      ink.fillStyle = ink.strokeStyle = css(this.colours(grid, at)[0]);
      ink.globalAlpha = look & DIM ? 0.6 : 1;
      const code = text.codePointAt(0);
      if (!draw(ink, code, x * w, top, w, h)) {
        const style = look & (BOLD | ITALIC);
        if (style !== font) {
          ink.font = this.font(style);
          font = style;
        }
        this.letter(text, style, x * w, top + this.cell.base, cells * w, code);
      }
      const thick = Math.max(1, Math.round(h / 18));
      if (look & UNDERLINE) ink.fillRect(x * w, top + this.cell.base + thick, cells * w, thick);
      if (look & STRIKE) ink.fillRect(x * w, top + Math.round(h * 0.55), cells * w, thick);
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

  // The colour of the tutor's own ground, for the margin around it.
  ground(grid) {
    return css(this.colours(grid, grid.columns * (grid.rows - 2))[1]);
  }
}
