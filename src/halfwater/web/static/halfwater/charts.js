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
    return {
      background: null,
      font: sans,
      axis: {
        labelColor: ink("ink-soft"), titleColor: ink("ink-soft"), labelFontSize: 12, titleFontSize: 12,
        titleFontWeight: 500, gridColor: ink("rule"), domainColor: ink("rule-strong"), tickColor: ink("rule-strong"),
      },
      view: { stroke: null },
      style: {
        fan: { fill: ink("water"), fillOpacity: 0.2, stroke: null },
        water: { stroke: ink("water"), strokeWidth: 2.5 },
        ahead: { stroke: ink("water"), strokeWidth: 2.5, strokeDash: [7, 4] },
        reading: { fill: ink("leaf"), stroke: ink("ink"), strokeWidth: 1.8, size: 62, filled: true, opacity: 1 },
        clay: { stroke: ink("ink"), strokeWidth: 1.5 },
        limit: { stroke: ink("past-mark"), strokeWidth: 1.8, strokeDash: [8, 4] },
        low: { stroke: ink("ink-soft"), strokeWidth: 1.5, strokeDash: [2, 4] },
        siphon: { stroke: ink("due-mark"), strokeWidth: 2 },
        "clay-word": Object.assign({ fill: ink("ink") }, word),
        "limit-word": Object.assign({ fill: ink("past") }, word),
        "low-word": Object.assign({ fill: ink("ink-soft") }, word),
        "siphon-word": Object.assign({ fill: ink("due") }, word),
        bar: { fill: ink("water") },
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
