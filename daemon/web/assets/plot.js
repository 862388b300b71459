// The drawing itself, by Chart.js: its tooltip, legend and animation are off; axes in the person's time.
import { clockText, dateText, dayText, zoneOffset } from "/text.js";

const hour = 3_600_000;
const day = 24 * hour;

let library = null;
/** The chart library is fetched when the first plot is about to be seen, not before. */
function loaded() {
  library ??= new Promise((resolve, reject) => {
    const script = document.createElement("script");
    script.src = "/chart.min.js";
    script.addEventListener("load", () => resolve(window.Chart));
    script.addEventListener("error", () => {
      library = null;
      reject(new Error("the chart library did not arrive"));
    });
    document.head.append(script);
  });
  return library;
}

const dark = matchMedia("(prefers-color-scheme: dark)");
const drawn = new Set();
dark.addEventListener("change", () => { for (const repaint of drawn) repaint(); });

export const axis = (drawing) => drawing.scales.x;

/** Ticks at whole hours or midnights of the person's zone, as many as fit. */
function timeTicks({ from, to }, width) {
  const most = Math.max(3, Math.floor(width / 64));
  const steps = [hour / 12, hour / 6, hour / 4, hour / 2, hour, 2 * hour, 3 * hour, 6 * hour, 12 * hour, day, 2 * day, 3 * day, 7 * day, 14 * day, 28 * day, 91 * day];
  const step = steps.find((s) => (to - from) / s <= most) ?? 365 * day;
  const offset = zoneOffset(to);
  const ticks = [];
  for (let t = Math.ceil((from + offset) / step) * step - offset; t <= to; t += step) ticks.push(t);
  return { ticks, words: step >= 7 * day ? dateText : step >= day ? dayText
    : (t) => ((t + offset) % day === 0 ? dayText(t) : clockText(t)) };
}

/** Where nothing was recorded for a while the curve has a gap. */
function withGaps(times, values) {
  const steps = times.slice(1).map((t, i) => t - times[i]).sort((a, b) => a - b);
  const usual = steps.length ? steps[steps.length >> 1] : 0;
  const points = [];
  times.forEach((t, i) => {
    if (i > 0 && t - times[i - 1] > 3.5 * usual) points.push({ x: times[i - 1] + 1, y: NaN });
    points.push({ x: t, y: values[i] ?? NaN });
  });
  return points;
}

function curveSets(curve, trend, tone, soft) {
  const plain = { pointRadius: 0, borderWidth: 0, borderColor: tone, backgroundColor: tone, fill: false };
  const sets = [];
  if (curve.band) {
    sets.push({ ...plain, order: 2, data: withGaps(trend.t, trend.low) });
    sets.push({ ...plain, order: 2, data: withGaps(trend.t, trend.high), fill: "-1", backgroundColor: `${tone}${dark.matches ? "66" : "3d"}` });
  }
  const styles = {
    line: { order: 0, borderWidth: 2 },
    dashes: { order: 1, borderWidth: 1.5, borderDash: [5, 4] },
    dots: { order: 3, showLine: false, pointRadius: 1.4, pointBackgroundColor: `${soft}99`, pointBorderWidth: 0 },
  };
  sets.push({ ...plain, ...styles[curve.kind], isBeside: curve.isBeside, data: withGaps(trend.t, trend.v) });
  return sets;
}

function markSets(marks, { from, to }, ink) {
  const across = (y) => ({ order: 4, data: [{ x: from, y }, { x: to, y }], borderColor: ink, borderWidth: 1.5, borderDash: [2, 3],
                           pointRadius: 0, fill: false });
  const within = ({ low, high, ...part }) => {
    const [x1, x2] = [Math.max(part.from, from), Math.min(part.to, to)];
    if (x1 >= x2) return [];
    const edge = (y) => ({ ...across(y), data: [{ x: x1, y }, { x: x2, y }] });
    return [edge(low), { ...edge(high), fill: "-1", backgroundColor: `${ink}12` }];
  };
  return marks.flatMap((mark) => mark.kind === "rule" ? [across(mark.at)] : mark.parts.flatMap(within));
}

/** What a person read from an instrument: rings, above all else. */
function sampleSets(samples, { from, to }, ink, paper) {
  const seen = samples.filter(({ x }) => x >= from && x <= to);
  return seen.length ? [{ order: -1, data: seen, showLine: false, pointRadius: 4.5, borderColor: ink, backgroundColor: ink,
                          pointBackgroundColor: paper, pointBorderColor: ink, pointBorderWidth: 2, fill: false }] : [];
}

/** A curve beside the others widens the range to twice theirs and no further. */
const besideMost = 2;

/** From the lowest to the highest that is drawn, with some air; round ticks fall where they fall. */
function valueRange(datasets, fromZero, decimals) {
  const valuesOf = (sets) => sets.flatMap((set) => set.data.map((point) => point.y)).filter(Number.isFinite);
  const drawn = valuesOf(datasets.filter((set) => !set.isBeside));
  if (fromZero || !drawn.length) drawn.push(0);
  const most = besideMost * Math.max(...drawn);
  for (const y of valuesOf(datasets.filter((set) => set.isBeside))) drawn.push(most > 0 ? Math.min(y, most) : y);
  const [low, high] = [Math.min(...drawn), Math.max(...drawn)];
  const air = Math.max((high - low) * 0.06, 3 / 10 ** decimals);
  return { min: low - air, max: high + air };
}

const cursorLine = {
  id: "cursor",
  afterDatasetsDraw(chart, _, { at, ink }) {
    const t = at?.();
    if (t === null || t === undefined) return;
    const { ctx, chartArea } = chart;
    const x = chart.scales.x.getPixelForValue(t);
    ctx.save();
    ctx.strokeStyle = ink;
    ctx.lineWidth = 1;
    ctx.beginPath();
    ctx.moveTo(x, chartArea.top);
    ctx.lineTo(x, chartArea.bottom);
    ctx.stroke();
    ctx.restore();
  },
};

/** Where a stage began: a hairline, and its name where there is room for it. */
const stageLines = {
  id: "stageLines",
  afterDatasetsDraw(chart, _, { stages, ink, soft, paper }) {
    const { ctx, chartArea: { left, right, top, bottom } } = chart;
    ctx.save();
    ctx.font = `11px ${chart.options.scales.x.ticks.font.family}`;
    ctx.strokeStyle = ink;
    ctx.lineWidth = 0.75;
    let free = left;
    for (const stage of stages ?? []) {
      const x = chart.scales.x.getPixelForValue(stage.from);
      if (x > right) continue;
      if (x >= left) {
        ctx.beginPath();
        ctx.moveTo(x, top);
        ctx.lineTo(x, bottom);
        ctx.stroke();
      }
      const end = Math.min(right, chart.scales.x.getPixelForValue(stage.to));
      const at = Math.max(x, left) + 3;
      const width = ctx.measureText(stage.text).width;
      if (at < free || at + width > Math.max(end, at) + 2 || end < left) continue;
      ctx.fillStyle = paper;
      ctx.fillRect(at - 2, bottom - 14, width + 4, 13);
      ctx.fillStyle = soft;
      ctx.fillText(stage.text, at, bottom - 4);
      free = at + width + 6;
    }
    ctx.restore();
  },
};

function configuration(canvas, what) {
  const style = getComputedStyle(canvas);
  const tint = (name) => style.getPropertyValue(name).trim();
  const [tone, ink, soft, hair] = [tint(`--${what.name}`), tint("--ink"), tint("--soft"), tint("--hair")];
  const { ticks, words } = timeTicks(what.range, canvas.parentElement.clientWidth);
  const decimals = what.trends[0].decimals;
  const font = { family: style.fontFamily, size: 11 };
  const datasets = [...markSets(what.marks, what.range, ink),
                    ...what.curves.flatMap((curve, i) => curveSets(curve, what.trends[i], tone, soft)),
                    ...sampleSets(what.samples, what.range, ink, tint("--sheet"))];
  return {
    type: "line",
    data: { datasets },
    options: {
      animation: false, responsive: true, maintainAspectRatio: false, parsing: false, normalized: true, events: [],
      spanGaps: false, elements: { line: { tension: 0 } }, layout: { padding: { right: 4 } },
      plugins: { legend: { display: false }, tooltip: { enabled: false }, cursor: { at: what.cursor, ink },
                 stageLines: { stages: what.stages, ink: tint("--strong"), soft, paper: tint("--sheet") } },
      scales: {
        x: { type: "linear", min: what.range.from, max: what.range.to,
             grid: { color: hair, borderColor: soft, drawTicks: false },
             afterBuildTicks: (scale) => { scale.ticks = ticks.map((value) => ({ value })); },
             ticks: { callback: words, color: soft, font, maxRotation: 0, autoSkip: false, padding: 5 } },
        y: { ...valueRange(datasets, what.fromZero, decimals), grid: { color: hair, borderColor: soft, drawTicks: false },
             afterFit: (scale) => { scale.width = 44; },
             ticks: { callback: (value) => Number(value).toFixed(decimals), color: soft, font, maxTicksLimit: 6,
                      includeBounds: false, padding: 5 } },
      },
    },
    plugins: [stageLines, cursorLine],
  };
}

/** Draws anew, or changes what is drawn. */
export async function paint(canvas, drawing, what) {
  const Library = await loaded();
  const fresh = configuration(canvas, what);
  if (!drawing) {
    drawing = new Library(canvas, fresh);
    canvas.setAttribute("aria-hidden", "true");
    drawn.add(() => paint(canvas, drawing, drawing.what));
  } else {
    drawing.data = fresh.data;
    drawing.options = fresh.options;
    drawing.update("none");
  }
  drawing.what = what;
  return drawing;
}
