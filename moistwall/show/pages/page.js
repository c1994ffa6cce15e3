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
