// SPDX-License-Identifier: Apache-2.0
// Hover, zoom and keys for the page's line charts. The static picture stays in the document: it is what prints and
// what stands where no script runs.
(() => {
  "use strict";
  const looks = [
    {stroke: "#0072b2", dash: [], border: "solid"}, {stroke: "#d55e00", dash: [9, 4], border: "dashed"},
    {stroke: "#009e73", dash: [2, 3], border: "dotted"}, {stroke: "#333333", dash: [11, 3, 2, 3], border: "double"},
  ];
  const height = 280;
  const shown = (value) => (value == null ? "" : Number(value.toPrecision(4)).toString());

  // Limits as dashed lines with their words, and the model's own points as dots.
  function drawBeside(data) {
    return (u) => {
      const {ctx, bbox} = u;
      ctx.save();
      ctx.beginPath();
      ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
      ctx.clip();
      ctx.font = `${12 * devicePixelRatio}px sans-serif`;
      ctx.strokeStyle = ctx.fillStyle = "#a33e00";
      ctx.setLineDash([2 * devicePixelRatio, 3 * devicePixelRatio]);
      for (const limit of data.limits) {
        const y = u.valToPos(limit.value, "y", true);
        ctx.beginPath();
        ctx.moveTo(bbox.left, y);
        ctx.lineTo(bbox.left + bbox.width, y);
        ctx.stroke();
        const above = y - 5 * devicePixelRatio, below = y + 14 * devicePixelRatio;
        const inset = 6 * devicePixelRatio;
        ctx.textAlign = limit.right ? "right" : "left";
        ctx.fillText(limit.text, limit.right ? bbox.left + bbox.width - inset : bbox.left + inset, above < bbox.top + 14 * devicePixelRatio ? below : above);
      }
      ctx.fillStyle = "#1c1c1c";
      for (const mark of data.marks) {
        if (mark.y == null) continue;
        ctx.beginPath();
        ctx.arc(u.valToPos(mark.x, "x", true), u.valToPos(mark.y, "y", true), 4 * devicePixelRatio, 0, 2 * Math.PI);
        ctx.fill();
      }
      ctx.restore();
    };
  }

  // Room for all lines and limits, a little more than they need.
  function rangeOf(data) {
    return (u, low, high) => {
      const values = data.limits.map((limit) => limit.value);
      const from = Math.min(low, ...values), to = Math.min(data.most ?? Infinity, Math.max(high, ...values));
      const more = 0.08 * (to - from || Math.abs(to) || 1);
      return [from - more, to + more];
    };
  }

  function optionsOf(data, width) {
    const values = (u, splits) => splits.map(shown);
    const axis = {values, font: "12px sans-serif", labelFont: "12px sans-serif", grid: {stroke: "#e2e2de", width: 1}, ticks: {width: 1}};
    return {
      width, height,
      scales: {x: {time: false}, y: {range: rangeOf(data)}},
      axes: [{...axis, label: data.x_title}, {...axis, label: data.y_title, size: 62}],
      series: [
        {label: data.x_title, value: (u, v) => shown(v)},
        ...data.lines.map((line, i) => ({
          label: line.name, width: 2.2, ...looks[i % looks.length], points: {show: false}, value: (u, v) => shown(v),
        })),
      ],
      legend: {markers: {width: 3, dash: (u, i) => looks[(i + looks.length - 1) % looks.length].border}},
      cursor: {drag: {x: true, y: false}},
      hooks: {draw: [drawBeside(data)]},
    };
  }

  // Arrows move the reading, plus and minus zoom around it, escape shows all again.
  function answerKeys(plot, u, x) {
    const last = x.length - 1;
    plot.addEventListener("keydown", (event) => {
      const at = u.cursor.idx ?? 0;
      const steps = {ArrowLeft: at - 1, ArrowRight: at + 1, Home: 0, End: last};
      const {min, max} = u.scales.x;
      if (event.key in steps) {
        const next = Math.max(0, Math.min(last, steps[event.key]));
        if (x[next] < min || x[next] > max) u.setScale("x", {min: x[next] - (max - min) / 2, max: x[next] + (max - min) / 2});
        u.setCursor({left: u.valToPos(x[next], "x"), top: u.over.clientHeight / 2});
      } else if (event.key === "+" || event.key === "-") {
        const half = (max - min) * (event.key === "+" ? 0.35 : 0.7);
        const low = Math.max(x[0], x[at] - half), high = Math.min(x[last], x[at] + half);
        u.setScale("x", {min: low, max: high});
      } else if (event.key === "Escape") {
        u.setScale("x", {min: x[0], max: x[last]});
      } else {
        return;
      }
      event.preventDefault();
    });
  }

  function enhance(figure) {
    const data = JSON.parse(figure.querySelector(".chart-data").textContent);
    const plot = document.createElement("div");
    plot.className = "plot";
    plot.tabIndex = 0;
    plot.setAttribute("role", "application");
    plot.setAttribute("aria-label", `${data.title}. Arrow keys read values, plus and minus zoom, escape shows all.`);
    figure.querySelector(".frame").after(plot);
    figure.classList.add("enhanced");
    const columns = [data.x, ...data.lines.map((line) => line.values)];
    const u = new uPlot(optionsOf(data, plot.clientWidth), columns, plot);
    u.root.querySelector(".u-legend").setAttribute("aria-live", "polite");
    answerKeys(plot, u, data.x);
    new ResizeObserver(() => {
      if (plot.clientWidth > 0 && plot.clientWidth !== u.width) u.setSize({width: plot.clientWidth, height});
    }).observe(plot);
  }

  for (const figure of document.querySelectorAll("figure.chart")) {
    try {
      enhance(figure);
    } catch (fault) {
      // The static picture serves.
      figure.classList.remove("enhanced");
    }
  }
})();
