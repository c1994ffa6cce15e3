// What every page of moistwall can do. Whatever needs no script is there without it.

const $ = (selector, within = document) => within.querySelector(selector);
const $$ = (selector, within = document) => [...within.querySelectorAll(selector)];

/** The numbers that the page was made with, or null. */
const data = JSON.parse($("#data")?.textContent ?? "null");

/** A number with so many decimals, and a minus only where something is left of it. */
const fixed = (value, decimals) => {
  const text = value.toFixed(decimals);
  return Number(text) === 0 ? text.replace("-", "") : text;
};

/** On paper everything is open: what was folded before is folded again afterwards. */
addEventListener("beforeprint", () => {
  for (const one of $$("details:not([open])")) {
    one.open = true;
    one.dataset.folded = "";
  }
});
addEventListener("afterprint", () => {
  for (const one of $$("details[data-folded]")) {
    one.open = false;
    delete one.dataset.folded;
  }
});

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/** A day of the year, from 0, in words. */
const dayText = (day) => {
  let month = 0;
  while (day >= MONTH_DAYS[month]) day -= MONTH_DAYS[month++];
  return `${MONTHS[month]} ${day + 1}`;
};

/** The strips of a year: one day on all of them, by pointer, by keys, or told. */
const strips = $$("[data-strip]");
const slider = $("#day");
if (slider && data?.strips) {
  const last = data.strips[0].mean.length - 1;
  const read = (strip, day) => {
    const of = data.strips[strip];
    const tenth = (name) => fixed(of[name][day] / 10, 1);
    return `mean ${tenth("mean")} %, from ${tenth("low")} to ${tenth("high")} %, ${tenth("temperature")} ${data.degrees}`;
  };
  const show = () => {
    const day = slider.valueAsNumber;
    const name = dayText(day);
    $("#day-name").textContent = name;
    let wettest = 0;
    for (const one of strips) {
      const strip = Number(one.dataset.strip);
      const at = `${((day + 0.5) / 365) * 100}%`;
      const cursor = $(".cursor", one);
      cursor.setAttribute("x1", at);
      cursor.setAttribute("x2", at);
      $(".reading", one).textContent = `${name}: ${read(strip, day)}`;
      if (data.strips[strip].mean[day] > data.strips[wettest].mean[day]) wettest = strip;
    }
    const where = $("figcaption strong", strips[wettest]).textContent;
    slider.setAttribute("aria-valuetext", `${name}; most humid at ${where}: ${read(wettest, day)}`);
  };
  slider.max = String(last);
  slider.closest("[hidden]").hidden = false;
  slider.addEventListener("input", show);
  for (const one of strips) {
    one.classList.add("live");
    const picture = $("svg", one);
    const point = (event) => {
      const box = picture.getBoundingClientRect();
      const day = Math.floor(((event.clientX - box.left) / box.width) * (last + 1));
      slider.value = String(Math.min(Math.max(day, 0), last));
      show();
    };
    picture.addEventListener("pointermove", point);
    picture.addEventListener("pointerdown", point);
  }
  show();
}
