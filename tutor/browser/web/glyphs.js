// Signs that must meet from cell to cell are drawn here, to the pixel, rather than by a font:
// lines, blocks, and the dots that curves are made of.

// Arms of U+2500…257F: up, right, down, left; 1 light, 2 heavy, 3 double (from the names in the
// Unicode Character Database; dashes, arcs and diagonals have 0000 and a way of their own).
const ARMS = `
0101 0202 1010 2020 0000 0000 0000 0000 0000 0000 0000 0000 0110 0210 0120 0220
0011 0012 0021 0022 1100 1200 2100 2200 1001 1002 2001 2002 1110 1210 2110 1120
2120 2210 1220 2220 1011 1012 2011 1021 2021 2012 1022 2022 0111 0112 0211 0212
0121 0122 0221 0222 1101 1102 1201 1202 2101 2102 2201 2202 1111 1112 1211 1212
2111 1121 2121 2112 2211 1122 1221 2212 1222 2122 2221 2222 0000 0000 0000 0000
0303 3030 0310 0130 0330 0013 0031 0033 1300 3100 3300 1003 3001 3003 1310 3130
3330 1013 3031 3033 0313 0131 0333 1303 3101 3303 1313 3131 3333 0000 0000 0000
0000 0000 0000 0000 0001 1000 0100 0010 0002 2000 0200 0020 0201 1020 0102 2010
`.trim().split(/\s+/);

// code → [number of dashes, heavy, upright]
const DASHES = new Map(
  [3, 3, 3, 3, 4, 4, 4, 4].map((n, k) => [0x2504 + k, [n, k & 1, k & 2]]),
);
[0x254c, 0x254d, 0x254e, 0x254f].forEach((code, k) => DASHES.set(code, [2, k & 1, k & 2]));

const QUADRANTS = [4, 8, 1, 13, 9, 7, 11, 2, 6, 14]; // U+2596…259F: 1 top left, 2, 4, 8 bottom right

function braille(ink, code, x, y, w, h) {
  const bits = code - 0x2800;
  const size = Math.max(1, Math.round(Math.min(w / 2, h / 4) * 0.75));
  const places = [[0, 0], [0, 1], [0, 2], [1, 0], [1, 1], [1, 2], [0, 3], [1, 3]];
  places.forEach(([column, row], bit) => {
    if (!(bits & (1 << bit))) return;
    const left = x + Math.round((column + 0.5) * (w / 2) - size / 2);
    const top = y + Math.round((row + 0.5) * (h / 4) - size / 2);
    if (size < 4) {
      ink.fillRect(left, top, size, size);
    } else {
      ink.beginPath();
      ink.arc(left + size / 2, top + size / 2, size / 2, 0, 2 * Math.PI);
      ink.fill();
    }
  });
}

function block(ink, code, x, y, w, h) {
  const n = code - 0x2580;
  const part = (left, top, wide, high) => {
    const x0 = Math.round(left * w), y0 = Math.round(top * h);
    ink.fillRect(x + x0, y + y0, Math.round((left + wide) * w) - x0, Math.round((top + high) * h) - y0);
  };
  if (n === 0) part(0, 0, 1, 0.5);
  else if (n <= 8) part(0, 1 - n / 8, 1, n / 8);
  else if (n <= 15) part(0, 0, (16 - n) / 8, 1);
  else if (n === 16) part(0.5, 0, 0.5, 1);
  else if (n <= 19) {
    const before = ink.globalAlpha;
    ink.globalAlpha = before * (n - 16) * 0.25;
    part(0, 0, 1, 1);
    ink.globalAlpha = before;
  } else if (n === 20) part(0, 0, 1, 1 / 8);
  else if (n === 21) part(7 / 8, 0, 1 / 8, 1);
  else {
    const bits = QUADRANTS[n - 22];
    for (let k = 0; k < 4; k += 1) {
      if (bits & (1 << k)) part((k & 1) / 2, (k >> 1) / 2, 0.5, 0.5);
    }
  }
}

function line(ink, code, x, y, w, h) {
  const light = Math.max(1, Math.round(h / 18));
  const heavy = light + Math.max(1, Math.round(h / 16));
  // Where a light stroke begins, so that all of them meet whatever the cell's size.
  const across = Math.floor((h - light) / 2), along = Math.floor((w - light) / 2);

  const dashes = DASHES.get(code);
  if (dashes) {
    const [count, thick, upright] = dashes;
    const size = thick ? heavy : light, length = upright ? h : w;
    const shift = Math.floor((size - light) / 2);
    for (let k = 0; k < count; k += 1) {
      const from = Math.round((k * length) / count);
      const long = Math.max(1, Math.round((0.6 * length) / count));
      if (upright) ink.fillRect(x + along - shift, y + from, size, long);
      else ink.fillRect(x + from, y + across - shift, long, size);
    }
    return;
  }
  if (code >= 0x256d && code <= 0x2573) {
    ink.lineWidth = light;
    ink.beginPath();
    const cx = x + along + light / 2, cy = y + across + light / 2;
    const r = Math.min(w, h) / 2;
    if (code <= 0x2570) {
      const right = code === 0x256d || code === 0x2570, down = code <= 0x256e;
      ink.moveTo(cx, down ? y + h : y);
      ink.lineTo(cx, down ? cy + r : cy - r);
      ink.quadraticCurveTo(cx, cy, right ? cx + r : cx - r, cy);
      ink.lineTo(right ? x + w : x, cy);
    } else {
      if (code !== 0x2572) {
        ink.moveTo(x + w, y);
        ink.lineTo(x, y + h);
      }
      if (code !== 0x2571) {
        ink.moveTo(x, y);
        ink.lineTo(x + w, y + h);
      }
    }
    ink.stroke();
    return;
  }
  const [up, right, down, left] = [...ARMS[code - 0x2500]].map(Number);
  const size = (weight) => (weight === 2 ? heavy : weight === 3 ? 3 * light : light);
  const middle = (a, b) => size(Math.max(a, b, 1));
  // Each arm reaches to the far side of what it meets, so that corners are closed.
  const tall = middle(left, right), wide = middle(up, down);
  const top = across - Math.floor((tall - light) / 2), side = along - Math.floor((wide - light) / 2);
  const stroke = (weight, upright, from, to) => {
    const shift = Math.floor((size(weight) - light) / 2);
    const at = (upright ? along : across) - shift;
    const tracks = weight === 3 ? [at, at + 2 * light] : [at];
    const thick = weight === 3 ? light : size(weight);
    for (const track of tracks) {
      if (upright) ink.fillRect(x + track, y + from, thick, to - from);
      else ink.fillRect(x + from, y + track, to - from, thick);
    }
  };
  if (up) stroke(up, true, 0, top + tall);
  if (down) stroke(down, true, top, h);
  if (left) stroke(left, false, 0, side + wide);
  if (right) stroke(right, false, side, w);
}

// Circles at the ends of lines stand on the lines' own axis.
function circle(ink, filled, x, y, w, h) {
  const light = Math.max(1, Math.round(h / 18));
  const centre = (size) => Math.floor((size - light) / 2) + light / 2;
  ink.beginPath();
  ink.arc(x + centre(w), y + centre(h), w / 2 - light / 2, 0, 2 * Math.PI);
  ink.lineWidth = light;
  ink.stroke();
  if (filled) ink.fill();
}

// Draws a sign into the cell at x, y; false if a font shall do it.
export function draw(ink, code, x, y, w, h) {
  if (code >= 0x2500 && code <= 0x257f) line(ink, code, x, y, w, h);
  else if (code >= 0x2580 && code <= 0x259f) block(ink, code, x, y, w, h);
  else if (code >= 0x2800 && code <= 0x28ff) braille(ink, code, x, y, w, h);
  else if (code === 0x25cb || code === 0x25cf) circle(ink, code === 0x25cf, x, y, w, h);
  else return false;
  return true;
}
