// Draws a picture of a known compressor map as a camera would see the page: at an angle, with noise. The
// page's own canvas draws it; what is marked on it is what a careful hand would mark.

import { readFile } from 'node:fs/promises';

/** The homography that takes the corners of the unit square to four points (Heckbert 1989, 2.2.3). */
export function plane([p0, p1, p2, p3]) {
  const [dx1, dy1, dx2, dy2] = [p1[0] - p2[0], p1[1] - p2[1], p3[0] - p2[0], p3[1] - p2[1]];
  const [sx, sy] = [p0[0] - p1[0] + p2[0] - p3[0], p0[1] - p1[1] + p2[1] - p3[1]];
  const over = dx1 * dy2 - dy1 * dx2;
  const [g, h] = [(sx * dy2 - sy * dx2) / over, (dx1 * sy - dy1 * sx) / over];
  return ([u, v]) => {
    const w = g * u + h * v + 1;
    return [
      ((p1[0] - p0[0] + g * p1[0]) * u + (p3[0] - p0[0] + h * p3[0]) * v + p0[0]) / w,
      ((p1[1] - p0[1] + g * p1[1]) * u + (p3[1] - p0[1] + h * p3[1]) * v + p0[1]) / w,
    ];
  };
}

/** A sequence of numbers from 0 to 1 that is the same each time (Park & Miller 1988). */
export function numbers(seed) {
  let state = seed;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}

/** Places where a line's efficiency passes a level, between its points. */
function crossings(line, level) {
  const found = [];
  for (let i = 1; i < line.points.length; i++) {
    const [a, b] = [line.points[i - 1], line.points[i]];
    if ((a.efficiency - level) * (b.efficiency - level) >= 0) continue;
    const t = (level - a.efficiency) / (b.efficiency - a.efficiency);
    found.push([a.flow_kg_s + t * (b.flow_kg_s - a.flow_kg_s), a.pressure_ratio + t * (b.pressure_ratio - a.pressure_ratio)]);
  }
  return found;
}

/**
 * A map as a picture of 1600 × 1200: what to draw, and where everything is.
 * `axes` are the flows (kg/s) and pressure ratios of the grid's ends.
 */
export function scene(map, axes) {
  const corners = [[178, 1092], [1466, 1010], [1392, 118], [236, 66]];
  const to = plane(corners);
  const spot = ([flow, ratio]) =>
    to([(flow - axes.flows[0]) / (axes.flows[1] - axes.flows[0]), (ratio - axes.ratios[0]) / (axes.ratios[1] - axes.ratios[0])]);
  const lines = map.lines.map((line) => ({
    speed: line.speed_rev_min,
    values: line.points.map((p) => [p.flow_kg_s, p.pressure_ratio]),
  }));
  const best = Math.max(...map.lines.flatMap((l) => l.points.map((p) => p.efficiency)));
  const levels = [0.01, 0.025, 0.045, 0.07, 0.1, 0.14, 0.2].map((below) => Math.floor((best - below) * 100) / 100);
  const islands = levels.map((level) => ({ level, values: map.lines.flatMap((line) => crossings(line, level)) }));
  // The best point is marked by itself, as many maps have it.
  const top = map.lines.flatMap((l) => l.points).find((p) => p.efficiency === best);
  islands.push({ level: best, values: [[top.flow_kg_s, top.pressure_ratio]] });
  return { size: [1600, 1200], corners, spot, lines, islands };
}

/** The picture itself, as PNG bytes. */
export async function draw(page, { size, corners, spot, lines, islands }, axes) {
  const grid = [];
  for (let i = 0; i <= 10; i++) {
    const flow = axes.flows[0] + (i / 10) * (axes.flows[1] - axes.flows[0]);
    const ratio = axes.ratios[0] + (i / 10) * (axes.ratios[1] - axes.ratios[0]);
    grid.push([spot([flow, axes.ratios[0]]), spot([flow, axes.ratios[1]])], [spot([axes.flows[0], ratio]), spot([axes.flows[1], ratio])]);
  }
  const drawing = { size, corners, grid, lines: lines.map((l) => l.values.map(spot)), islands: islands.map((i) => i.values.map(spot)) };
  const base64 = await page.evaluate(async ({ size, grid, lines, islands }) => {
    const canvas = document.createElement('canvas');
    [canvas.width, canvas.height] = size;
    const pen = canvas.getContext('2d');
    pen.fillStyle = '#d8d2c4';
    pen.fillRect(0, 0, ...size);
    const path = (spots, colour, width) => {
      pen.beginPath();
      spots.forEach(([x, y], i) => (i === 0 ? pen.moveTo(x, y) : pen.lineTo(x, y)));
      pen.strokeStyle = colour;
      pen.lineWidth = width;
      pen.stroke();
    };
    for (const line of grid) path(line, '#b0a890', 1.5);
    for (const line of lines) path(line, '#303030', 3);
    for (const island of islands) for (const [x, y] of island) pen.fillRect(x - 2, y - 2, 4, 4);
    const image = pen.getImageData(0, 0, ...size);
    let state = 7;
    for (let i = 0; i < image.data.length; i++) {
      if (i % 4 === 3) continue;
      state = (state * 48271) % 2147483647;
      image.data[i] += 40 * (state / 2147483647 - 0.5);
    }
    pen.putImageData(image, 0, 0);
    const blob = await new Promise((done) => canvas.toBlob(done, 'image/png'));
    const bytes = new Uint8Array(await blob.arrayBuffer());
    let text = '';
    for (let i = 0; i < bytes.length; i += 8192) text += String.fromCharCode(...bytes.subarray(i, i + 8192));
    return btoa(text);
  }, drawing);
  return Buffer.from(base64, 'base64');
}

/** The known map that checks trace, and the ends of its picture's axes. */
export async function known(from = 1) {
  const text = await readFile(new URL('../../core/data/turbochargers.json', import.meta.url), 'utf8');
  const rowan = JSON.parse(text).find((t) => t.id === 'rowan');
  return { map: { lines: rowan.compressor.map.lines.slice(from) }, axes: { flows: [0, 0.55], ratios: [1, 4.2] } };
}

/** Opens a picture of the known map where the page traces one. */
export async function openPicture(page) {
  const { map, axes } = await known();
  const buffer = await draw(page, scene(map, axes), axes);
  await page.locator('[data-map-picture]').setInputFiles({ name: 'map.png', mimeType: 'image/png', buffer });
  await page.locator('[data-board]').waitFor();
}

/** Distance of a point from a line of points, all in shares of the axes. */
export function distance(point, line) {
  let least = Infinity;
  for (let i = 1; i < line.length; i++) {
    const [a, b] = [line[i - 1], line[i]];
    const along = [b[0] - a[0], b[1] - a[1]];
    const long = along[0] ** 2 + along[1] ** 2 || 1e-300;
    const t = Math.min(1, Math.max(0, ((point[0] - a[0]) * along[0] + (point[1] - a[1]) * along[1]) / long));
    least = Math.min(least, Math.hypot(point[0] - a[0] - t * along[0], point[1] - a[1] - t * along[1]));
  }
  return least;
}
