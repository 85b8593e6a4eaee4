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
  const INCH = 25.4, ROUND_OFF = 1e-6;
  const steps = (mm) => Math.round(Math.abs(mm) / (inches() ? INCH / 8 : 1));
  const eighths = (total) => {
    const whole = Math.floor(total / 8), part = total % 8;
    const share = part === 0 ? "" : part === 4 ? "1/2" : part % 2 === 0 ? part / 2 + "/4" : part + "/8";
    return (whole === 0 && share ? share : whole + (share ? " " + share : "")) + " in";
  };
  const show = (mm) => inches() ? eighths(steps(mm)) : (steps(mm) / 10).toFixed(1) + " cm";
  // What is there and too small to show is not told as nought.
  const some = (mm) => Math.abs(mm) > ROUND_OFF && steps(mm) === 0 ? "under " + (inches() ? "1/8 in" : "0.1 cm") : show(mm);

  const data = JSON.parse(byId("data").textContent);
  const form = byId("live");
  if (!form || !data.levels.length) return;
  const level = byId("live-level"), height = byId("live-height"), said = byId("live-said");
  const { heights_mm: heights, taut_mm: taut, stretches, plan } = data;
  // Null where the scan shows no skin: a number there would be a guess.
  const girthAt = (at) => {
    const run = stretches.find(([first, last]) => heights[first] <= at && at <= heights[last]);
    if (!run) return null;
    const i = heights.findIndex((h) => h >= at);
    if (i === run[0]) return taut[i];
    return taut[i - 1] + (taut[i] - taut[i - 1]) * (at - heights[i - 1]) / (heights[i] - heights[i - 1]);
  };
  const than = (a, b) => steps(a - b) === 0 ? "the same as" : show(a - b) + (a > b ? " more than" : " less than");

  // Width: body and ease less what the size measures, shared over the seam edges.
  const widthStep = (of, body) => {
    const add = body + of.ease_mm - of.garment_mm, each = Math.abs(add) / of.edges;
    const amount = (add > 0 ? "add " : "take in ") + some(add) + " in all";
    if (of.edges === 0) return `${amount}, but the sheet says that no seam can change there`;
    if (each < of.least_mm - ROUND_OFF) return `leave it as it is (${some(add)} over ${of.edges} seam edges is too little to cut true)`;
    const about = steps(each) > 0 && steps(each) * of.edges !== steps(add) ? "about " : "";
    const over = each > of.limit_mm + ROUND_OFF ? `, more than the ${show(of.limit_mm)} that one edge should take` : "";
    return `${amount}, ${about}${some(each)} at each of ${of.edges} seam edges${over}`;
  };
  // Lengths, from the top line down: a change moves all lines below it.
  const lineSteps = (line, rise) => {
    let low = 0, known = true;
    return plan.lines.map((of) => {
      if (of.to === line && of.over_skin && rise !== 0) known = false;
      const body = of.body_mm + (of.from === line ? rise : 0) - (of.to === line ? rise : 0);
      low += of.drawn_mm - body;
      if (of.within_mm === null || Math.abs(low) <= of.within_mm + ROUND_OFF) return { of, known, let_in: 0 };
      const let_in = -low;
      low = 0;
      return { of, known, let_in };
    });
  };
  const lineStep = ({ let_in }) => let_in === 0 ? "no change" : (let_in < 0 ? "fold out " : "let in ") + some(let_in);
  const instead = (now, before) => now === before ? `${now}, as in the plan.` : `${now}. In the plan: ${before}.`;

  const planned = (of, rise, girth) => {
    if (!plan) return [];
    const width = plan.widths.find((row) => row.level === of.fit);
    const told = [];
    if (width) {
      const body = rise === 0 ? width.body_mm : girth;
      told.push(`Width at the ${width.level}, in size ${width.size}: ${instead(widthStep(width, body), widthStep(width, width.body_mm))}`);
      // Of two sizes equally near the larger, as the program has it.
      const miss = (row) => Math.abs(row.to_add_mm + body - width.body_mm);
      const nearest = width.candidates.reduce((best, row) => best && miss(best) < miss(row) - ROUND_OFF ? best : row, null);
      if (rise !== 0 && nearest && nearest.size !== width.size) told.push(`Size ${nearest.size} would be nearer here; a new run may take it.`);
      if (rise !== 0 && Math.abs(width.body_mm - girthAt(of.height_mm)) >= 0.5) {
        told.push(`The plan goes by ${show(width.body_mm)} there, scan and tape together; moved, it is the scan alone.`);
      }
    }
    if (of.line && plan.lines === null) {
      told.push("Lengths between the lines: not reckoned here, since not each was judged from the one above it.");
    } else if (of.line) {
      const before = lineSteps(of.line, 0);
      for (const [i, now] of lineSteps(of.line, rise).entries()) {
        if (!now.known) {
          told.push(`Length ${now.of.said}: not known without measuring again; the way over the skin changes with the level.`);
          break;
        }
        const [then, planned] = [now, before[i]].map(lineStep);
        if (then !== planned || [now.of.from, now.of.to].includes(of.line)) told.push(`Length ${now.of.said}: ${instead(then, planned)}`);
      }
    }
    if (told.length === 0) return ["The plan does not go by this level: nothing in it would change."];
    if (rise !== 0) told.push("Size, grade, hem and all other steps are not chosen anew here; only a new run does that.");
    return told;
  };

  const move = () => {
    const of = data.levels[level.value], put = Number(height.value);
    // The slider stands at whole millimetres; the level found does not.
    const at = put === Math.round(of.height_mm) ? of.height_mm : put, girth = girthAt(at);
    const told = [];
    if (girth === null) {
      told.push(`At ${show(at)} above the floor: not measured here. The scan shows too little skin, so what would change is not known here.`);
    } else {
      let first = `At ${show(at)} above the floor the scan's girth is ${show(girth)}, ${than(girth, girthAt(of.height_mm))} at the level found (${show(of.height_mm)}).`;
      if (of.tape_mm !== null) first += ` The tape says ${show(of.tape_mm)}, ${than(of.tape_mm, girth)} the scan here.`;
      told.push(first, ...planned(of, at - of.height_mm, girth));
      if (of.pin && at !== of.height_mm) told.push(`To keep the level here, pin it and run the program again with --pin "${of.pin} = ${(at / 10).toFixed(1)} cm".`);
    }
    said.replaceChildren(...told.map((text) => Object.assign(document.createElement("span"), { textContent: text + " " })));
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
