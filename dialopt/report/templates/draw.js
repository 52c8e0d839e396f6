"use strict";
(() => {
  const root = document.documentElement;
  const drawings = JSON.parse(document.getElementById("drawings").textContent);
  const chosen = {};
  const narrow = () => window.innerWidth < 560;

  // Every "var(--name)" in a drawing stands for the page's style of that name, so that light, dark and paper are one.
  const dressed = (value, style) => {
    if (typeof value === "string") {
      const named = /^var\((--[\w-]+)\)$/.exec(value);
      return named ? style.getPropertyValue(named[1]).trim() : value;
    }
    if (Array.isArray(value)) {
      return value.map((part) => (typeof part === "number" ? part : dressed(part, style)));
    }
    if (value && typeof value === "object") {
      return Object.fromEntries(Object.entries(value).map(([key, part]) => [key, dressed(part, style)]));
    }
    return value;
  };

  const draw = (name, paper) => {
    const holder = document.getElementById("drawing-" + name);
    const style = getComputedStyle(root);
    const { data, layout } = dressed({ data: drawings[name].data, layout: drawings[name].layout }, style);
    if (name in chosen) {
      for (const [trace, fields] of Object.entries(drawings[name].slider.changes[chosen[name]])) {
        Object.assign(data[trace], dressed(fields, style));
      }
    }
    if (paper) {
      const large = holder.parentElement.classList.contains("half");
      const low = layout.height < 350;
      Object.assign(layout, { width: large ? 325 : 212, height: !low ? 210 : large ? 150 : 125, showlegend: !low });
      layout.font.size = large ? 9 : 8;
      layout.legend.font.size = large ? 8 : 7;
      for (const trace of data) {
        if (trace.marker && trace.marker.size) trace.marker.size *= 0.6;
        if (trace.colorbar) Object.assign(trace.colorbar, { thickness: 7, tickfont: { size: 8 } });
      }
      for (const axis of [layout.xaxis, layout.yaxis]) {
        if (axis.title) axis.title.standoff = 3;
        if (!large && axis.dtick === 1) axis.dtick = 2;
      }
    } else if (narrow()) {
      layout.font.size = 12;
      layout.margin.r = 16;
      layout.margin.l = 4;
    }
    return Plotly.react(holder, data, layout, { displayModeBar: false, responsive: !paper });
  };

  const drawAll = (paper) => Object.keys(drawings).forEach((name) => draw(name, paper));

  const slide = (name) => {
    const box = document.getElementById("slider-" + name);
    if (!box) return;
    const [input, output] = [box.querySelector("input"), box.querySelector("output")];
    box.hidden = false;
    input.addEventListener("input", () => {
      chosen[name] = Number(input.value);
      output.textContent = drawings[name].slider.labels[chosen[name]];
      input.setAttribute("aria-valuetext", output.textContent);
      // The sentence below the drawing tells of the state that it starts in.
      const holder = document.getElementById("drawing-" + name);
      if (input.value === input.defaultValue) holder.setAttribute("aria-describedby", "alt-" + name);
      else holder.removeAttribute("aria-describedby");
      draw(name, false);
    });
  };

  const unpack = async () => {
    const packed = atob(document.getElementById("plotting").textContent.trim());
    const bytes = new Uint8Array(packed.length);
    for (let i = 0; i < packed.length; i += 1) bytes[i] = packed.charCodeAt(i);
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
    const script = document.createElement("script");
    script.textContent = await new Response(stream).text();
    // The drawing code brings a style sheet for street maps, which this page has no use for and its policy refuses;
    // an element of the same id makes it think that the sheet is there.
    for (const [, id] of script.textContent.matchAll(/getElementById\("([0-9a-f]{64})"\)/g)) {
      document.head.append(Object.assign(document.createElement("meta"), { id }));
    }
    document.head.append(script);
  };

  const start = async () => {
    await unpack();
    for (const name of Object.keys(drawings)) {
      await draw(name, false);
      slide(name);
    }
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => drawAll(false));
    window.addEventListener("beforeprint", () => { root.classList.add("paper"); drawAll(true); });
    window.addEventListener("afterprint", () => { root.classList.remove("paper"); drawAll(false); });
    root.dataset.drawn = String(Object.keys(drawings).length);
  };

  start().catch(() => {
    // An old browser can't unpack the drawing code: the tables hold the same numbers.
    root.classList.add("undrawn");
    document.getElementById("undrawn").hidden = false;
    document.querySelectorAll("figure details").forEach((numbers) => { numbers.open = true; });
    root.dataset.drawn = "0";
  });
})();
