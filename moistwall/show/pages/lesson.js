// A lesson: guesses are scored against the numbers of the runs in the page, moments and variants are chosen.

const SVG = "http://www.w3.org/2000/svg";
const main = $("main");

/** Put an element into a drawing; text is text. */
const draw = (svg, tag, attributes, text = "") => {
  const one = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) one.setAttribute(name, value);
  one.textContent = text;
  svg.append(one);
};

const TOP = 14, PER_DEGREE = 2, EVERY = 20;
const down = (degF) => TOP + (data.high_degF - degF) * PER_DEGREE;

/** Draw the grid of a staircase and its numbered columns. */
const grid = (svg, edges) => {
  svg.replaceChildren();
  const bottom = down(data.low_degF);
  svg.setAttribute("height", bottom + 22);
  for (let degF = data.low_degF; degF <= data.high_degF; degF += EVERY) {
    draw(svg, "line", { class: "rule", x1: `${edges[0]}%`, x2: "100%", y1: down(degF), y2: down(degF) });
    draw(svg, "text", { class: "small soft", x: 0, y: down(degF) + 4 }, degF);
  }
  edges.slice(1).forEach((edge, n) => {
    const last = n === edges.length - 2;
    const middle = (edges[n] + edge) / 2;
    const name = n === 0 ? "out" : last ? "room" : n;
    draw(svg, "text", { class: "small middle", x: `${middle}%`, y: bottom + 16 }, name);
  });
};

/** Draw treads and the risers between them; what has no dew point has no tread. */
const treads = (svg, edges, heights, kind, numbers, warm = []) => {
  heights.forEach((height, n) => {
    if (height === null) return;
    const y = down(height), before = heights[n - 1];
    draw(svg, "line", { class: kind, x1: `${edges[n]}%`, x2: `${edges[n + 1]}%`, y1: y, y2: y });
    if (n > 0 && before !== null) {
      draw(svg, "line", { class: kind.replace("tread", ""), x1: `${edges[n]}%`, x2: `${edges[n]}%`, y1: down(before), y2: y });
    }
    if (numbers) {
      draw(svg, "text", { class: "small middle strong", x: `${(edges[n] + edges[n + 1]) / 2}%`, y: Math.abs(down(warm[n] ?? -999) - (y - 9)) > 9 ? y - 5 : y + 15 }, fixed(height, 0));
    }
  });
};

const dewPoints = (still) => still.steps.map((step) => step.dew_point_degF);

// guesses

const scores = new Map();

/** What a form says: a choice or a height for each row, null where nothing is said yet. */
const guesses = (form, question) =>
  question.kind === "steps"
    ? $$("input[type=range]", form).map((slider) => slider.value)
    : $$("fieldset", form).map((row) => $("input:checked", row)?.value ?? null);

/** Points of a question, from 0 to 1. */
const points = (question, said) => {
  const each = question.answers.map((answer, n) => {
    if (question.kind === "steps") return Math.abs(answer - said[n]) <= data.tolerance_degF ? 1 : 0;
    if (said[n] === answer) return 1;
    return question.near.includes(said[n]) ? 0.5 : 0;
  });
  return each.reduce((sum, one) => sum + one, 0) / each.length;
};

/** The guessed staircase, over the computed one once it is known. */
const drawGuess = (form, question, known) => {
  const told = data.designs[1], real = dewPoints(told.stills[question.moment]);
  const sliders = $$("input[type=range]", form).map((slider) => Number(slider.value));
  const said = real.map((height, n) =>
    height === null || n === 0 || n === real.length - 1 ? height : sliders.shift());
  const svg = $(".guess", form);
  grid(svg, told.edges_percent);
  if (known) treads(svg, told.edges_percent, real, "dew tread", true);
  treads(svg, told.edges_percent, said, "guessed", !known);
};

const openAll = () => {
  main.classList.remove("guessing");
  $("#open-all").hidden = true;
};

const score = (form, question) => {
  const said = guesses(form, question);
  if (said.includes(null)) {
    $(".score", form).textContent = "Choose first.";
    return;
  }
  const found = points(question, said);
  scores.set(question.key, found);
  $(".score", form).textContent = `${fixed(found, 2)} of 1 point`;
  $(".answer", form).open = true;
  if (question.kind === "steps") drawGuess(form, question, true);
  const sum = [...scores.values()].reduce((a, b) => a + b, 0);
  const all = scores.size === data.questions.length;
  $("#total").textContent = `${fixed(sum, 2)} of ${data.questions.length} points.${all ? " The storyboard is open below." : ""}`;
  if (all) openAll();
};

for (const question of data.questions) {
  const form = $(`#question-${question.key}`);
  $("button", form).hidden = false;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    score(form, question);
  });
  for (const slider of $$("input[type=range]", form)) {
    slider.addEventListener("input", () => {
      slider.nextElementSibling.textContent = `${slider.value} degF`;
      drawGuess(form, question, false);
    });
  }
  if (question.kind === "steps") drawGuess(form, question, false);
}
main.classList.add("guessing");
$("#open-all").hidden = false;
$("#open-all").addEventListener("click", () => {
  openAll();
  $("#storyboard").scrollIntoView();
});

// the storyboard

const showMoment = () => {
  const chosen = $("input[name=moment]:checked").value;
  for (const one of $$(".moment")) one.classList.toggle("shown", one.dataset.moment === chosen);
};
$("#choose-moment").hidden = false;
$("#choose-moment").addEventListener("change", showMoment);
main.classList.add("chosen");
showMoment();

// what if

const showVariant = () => {
  const choice = data.start.map((_, n) => Number($(`input[name=factor-${n}]:checked`).value));
  const told = data.variants.find((one) => one.choice.every((value, n) => value === choice[n]));
  const still = told.stills[$("input[name=variant-moment]:checked").value];
  const worst = told.joints.find((joint) => joint.name === told.dampest_joint);
  const settled = told.repeats_itself ? "" : ` After ${told.years_run} years it still does not repeat itself.`;
  $("#variant-told").textContent =
    `${told.name}. Dampest joint: ${worst.name}, ${worst.hours_rh_80} hours at or above ${data.damp_limit}. Verdict: ${told.verdict}.${settled}`;
  const svg = $("#variant-steps");
  grid(svg, told.edges_percent);
  treads(svg, told.edges_percent, dewPoints(still), "dew tread", true, still.steps.map((step) => step.temperature_degF));
  still.steps.forEach((step, n) => {
    const middle = (told.edges_percent[n] + told.edges_percent[n + 1]) / 2;
    draw(svg, "circle", { class: "heat-fill", cx: `${middle}%`, cy: down(step.temperature_degF), r: 4 });
  });
  $("#variant-names").textContent = told.columns.map((name, n) => `${n + 1} ${name}`).join(", ");
  $("#variant-joints tbody").replaceChildren(...told.joints.filter((joint) => !joint.outside_of_rain_control).map((joint) => {
    const row = document.createElement("tr");
    const head = document.createElement("th");
    head.scope = "row";
    head.textContent = joint.name;
    row.append(head);
    for (const value of [joint.hours_rh_80, joint.hours_rh_90, `${fixed(joint.highest_rh_percent, 0)} %`]) {
      const cell = document.createElement("td");
      cell.className = "number";
      cell.textContent = value;
      row.append(cell);
    }
    return row;
  }));
};
for (const one of ["#choose-variant", "#variant"]) $(one).hidden = false;
$("#choose-variant").addEventListener("change", showVariant);
showVariant();
