"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const store = {
    get: () => { try { return localStorage.getItem("unit"); } catch { return null; } },
    set: (unit) => { try { localStorage.setItem("unit", unit); } catch { /* Not kept: nothing else changes. */ } },
  };
  const kept = store.get();
  if (kept === "in" || kept === "cm") byId("show-" + kept).checked = true;
  const inches = () => byId("show-in").checked;

  // As the program rounds: millimetres, or eighths of an inch, half away from nought.
  const eighths = (mm) => {
    const total = Math.round(Math.abs(mm) / 25.4 * 8);
    const whole = Math.floor(total / 8), part = total % 8;
    const share = part === 0 ? "" : part === 4 ? "1/2" : part % 2 === 0 ? part / 2 + "/4" : part + "/8";
    return (whole === 0 && share ? share : whole + (share ? " " + share : "")) + " in";
  };
  const show = (mm) => inches() ? eighths(mm) : (Math.round(Math.abs(mm)) / 10).toFixed(1) + " cm";

  const data = JSON.parse(byId("data").textContent);
  const form = byId("live");
  if (!form || !data.levels.length) return;
  const level = byId("live-level"), height = byId("live-height"), said = byId("live-said");
  const { heights_mm: heights, taut_mm: taut, stretches } = data;
  // Null where the scan shows no skin: a number there would be a guess.
  const girthAt = (at) => {
    const run = stretches.find(([first, last]) => heights[first] <= at && at <= heights[last]);
    if (!run) return null;
    const i = heights.findIndex((h) => h >= at);
    if (i === run[0]) return taut[i];
    return taut[i - 1] + (taut[i] - taut[i - 1]) * (at - heights[i - 1]) / (heights[i] - heights[i - 1]);
  };
  const than = (a, b) => Math.abs(a - b) < 0.5 ? "the same as" : show(a - b) + (a > b ? " more than" : " less than");

  const move = () => {
    const of = data.levels[level.value], at = Number(height.value), girth = girthAt(at);
    const before = girthAt(of.height_mm);
    let text = girth === null
      ? `At ${show(at)} above the floor: not measured here. The scan shows too little skin.`
      : `At ${show(at)} above the floor the scan's girth is ${show(girth)}, ${than(girth, before)} at the level found (${show(of.height_mm)}).`;
    if (girth !== null && of.tape_mm !== null) text += ` The tape says ${show(of.tape_mm)}, ${than(of.tape_mm, girth)} the scan here.`;
    if (girth !== null && of.pin && Math.abs(at - of.height_mm) >= 1) text += ` To keep it here, measure again with --pin "${of.pin} = ${(at / 10).toFixed(1)} cm".`;
    said.textContent = text;
    for (const line of document.querySelectorAll(".probe")) {
      const y = Number(line.dataset.floor) - at * Number(line.dataset.scale);
      line.setAttribute("y1", y);
      line.setAttribute("y2", y);
      line.setAttribute("visibility", "visible");
    }
    for (const dot of document.querySelectorAll(".probe-dot")) {
      if (girth === null) { dot.setAttribute("visibility", "hidden"); continue; }
      const line = dot.parentElement.querySelector(".probe");
      dot.setAttribute("cx", Number(dot.dataset.zero) + girth * Number(dot.dataset.scale));
      dot.setAttribute("cy", line.getAttribute("y1"));
      dot.setAttribute("visibility", "visible");
    }
  };
  const choose = () => { height.value = Math.round(data.levels[level.value].height_mm); move(); };
  height.min = Math.ceil(heights[0]);
  height.max = Math.floor(heights[heights.length - 1]);
  level.addEventListener("change", choose);
  height.addEventListener("input", move);
  for (const unit of ["cm", "in"]) {
    byId("show-" + unit).addEventListener("change", () => { store.set(unit); move(); });
  }
  form.addEventListener("submit", (event) => event.preventDefault());
  form.hidden = false;
  choose();
})();
