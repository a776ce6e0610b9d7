// Draws each chart from the spec that stands beside it. Colours come from the page's own tokens,
// the expressions are walked by an interpreter (nothing is evaluated), and the table stays below.
(function () {
  "use strict";

  function palette() {
    const style = getComputedStyle(document.documentElement);
    return (name) => style.getPropertyValue("--" + name).trim();
  }

  function look() {
    const ink = palette();
    const sans = ink("sans");
    const word = { font: sans, fontSize: 12, fontWeight: 600 };
    const halo = { font: sans, fontSize: 12, fontWeight: 600, stroke: ink("leaf"), color: ink("leaf"), strokeWidth: 4, strokeOpacity: 0.85 };
    return {
      background: null,
      font: sans,
      axis: {
        labelColor: ink("ink-soft"), titleColor: ink("ink-soft"), labelFontSize: 12, titleFontSize: 12,
        titleFontWeight: 500, gridColor: ink("rule"), domainColor: ink("rule-strong"), tickColor: ink("rule-strong"),
      },
      view: { stroke: null },
      style: {
        fan: { color: ink("water"), fillOpacity: 0.22 },
        water: { color: ink("water"), strokeWidth: 2.5 },
        ahead: { color: ink("water"), strokeWidth: 2.5, strokeDash: [7, 4] },
        odd: { stroke: ink("past-mark"), strokeWidth: 2, size: 60, opacity: 1 },
        fill: { color: ink("ink-soft"), strokeWidth: 1.5, strokeDash: [1, 4] },
        reading: { color: ink("leaf"), stroke: ink("ink"), strokeWidth: 1.8, size: 56, opacity: 1 },
        clay: { color: ink("ink"), strokeWidth: 1.5 },
        limit: { color: ink("past-mark"), strokeWidth: 1.8, strokeDash: [8, 4] },
        low: { color: ink("ink-soft"), strokeWidth: 1.5, strokeDash: [2, 4] },
        siphon: { color: ink("due-mark"), strokeWidth: 2 },
        "clay-word": Object.assign({ color: ink("ink") }, word),
        "limit-word": Object.assign({ color: ink("past") }, word),
        "low-word": Object.assign({ color: ink("ink-soft") }, word),
        "siphon-word": Object.assign({ color: ink("due") }, word),
        "fan-small": { color: ink("ink-soft"), fillOpacity: 0.14 },
        "fan-standard": { color: ink("water"), fillOpacity: 0.2 },
        "fan-large": { color: ink("due-mark"), fillOpacity: 0.22 },
        "grade-small": { color: ink("ink-soft"), strokeWidth: 2, strokeDash: [2, 4] },
        "grade-standard": { color: ink("water"), strokeWidth: 2.5 },
        "grade-large": { color: ink("due"), strokeWidth: 2.5, strokeDash: [7, 4] },
        "grade-small-word": Object.assign({ color: ink("ink-soft") }, word),
        "grade-standard-word": Object.assign({ color: ink("water") }, word),
        "grade-large-word": Object.assign({ color: ink("due") }, word),
        "grade-span": { color: ink("water"), strokeWidth: 6, strokeOpacity: 0.45 },
        "grade-middle": { color: ink("water"), size: 60, opacity: 1 },
        offered: { color: ink("due-mark") },
        release: { color: ink("due-mark"), strokeWidth: 1.5, strokeDash: [3, 3] },
        halo: halo,
        bar: { color: ink("water") },
        "bar-cost": { color: ink("due-wash"), stroke: ink("due-mark"), strokeWidth: 2 },
      },
    };
  }

  async function draw(figure) {
    const source = figure.querySelector("script[type='application/json']");
    const target = figure.querySelector(".chart-canvas");
    if (!source || !target || !window.vegaEmbed) return;
    target.classList.add("is-drawn");
    const spec = JSON.parse(source.textContent);
    await window.vegaEmbed(target, spec, {
      ast: true, actions: false, defaultStyle: false, renderer: "canvas", config: look(), tooltip: false,
    });
    target.setAttribute("data-drawn", "yes");
  }

  function drawAll() {
    document.querySelectorAll("[data-chart]").forEach((figure) => {
      draw(figure).catch(() => figure.setAttribute("data-failed", "yes"));
    });
  }

  document.addEventListener("DOMContentLoaded", drawAll);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", drawAll);
})();
