// Draws every figure of the page, in the colours of the reader's scheme.
"use strict";

(() => {
  const scheme = window.matchMedia("(prefers-color-scheme: dark)");
  const settings = { displayModeBar: false, responsive: true };

  // "var(--ink)" becomes what --ink is now; Plotly itself knows no custom properties.
  const coloured = (value, styles) => {
    if (typeof value === "string" && value.startsWith("var(--")) {
      return styles.getPropertyValue(value.slice(4, -1)).trim();
    }
    if (Array.isArray(value)) return value.map((part) => coloured(part, styles));
    if (value && typeof value === "object") {
      return Object.fromEntries(
        Object.entries(value).map(([key, part]) => [key, coloured(part, styles)]),
      );
    }
    return value;
  };

  // A point that carries an address leads there; the table below holds the same links.
  const follow = ({ points }) => {
    const [target] = points.map((point) => point.customdata).filter((to) => typeof to === "string");
    if (target && target.startsWith("/")) location.assign(target);
  };

  const draw = () => {
    const styles = getComputedStyle(document.documentElement);
    for (const canvas of document.querySelectorAll("[data-figure]")) {
      const source = document.getElementById(canvas.dataset.figure).textContent;
      const figure = coloured(JSON.parse(source), styles);
      figure.layout.font.family = styles.getPropertyValue("--font");
      Plotly.react(canvas, figure.data, figure.layout, settings);
      canvas.on("plotly_click", follow);
    }
  };

  draw();
  scheme.addEventListener("change", draw);
})();
