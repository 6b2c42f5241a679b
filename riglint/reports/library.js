"use strict";
// Filters the builds and draws one when it is opened. Nothing leaves the page.
const builds = Array.from(document.querySelectorAll("#builds > div"));
const words = builds.map((item) => item.querySelector("summary").textContent.toLowerCase() +
  " " + item.querySelector(".inside > p").textContent.toLowerCase());
const field = (name) => document.getElementById(name);

function drawOnce(item) {
  const template = item.querySelector("template");
  if (template !== null) {
    const roll = document.createElement("div");
    roll.className = "roll";
    roll.tabIndex = 0;
    roll.setAttribute("role", "region");
    roll.setAttribute("aria-label", "Drawing");
    const text = template.content.textContent;
    roll.append(new DOMParser().parseFromString(text, "image/svg+xml").documentElement);
    template.replaceWith(roll);
  }
}

function filter() {
  const rule = field("rule").value;
  const level = field("level").value;
  const text = field("words").value.trim().toLowerCase();
  let shown = 0;
  builds.forEach((item, place) => {
    const fits = (rule === "" || item.dataset.rule.split(" ").includes(rule)) &&
      (level === "" || item.dataset.level.split(" ").includes(level)) &&
      words[place].includes(text);
    item.hidden = !fits;
    shown += fits;
  });
  field("count").textContent = `${shown} of ${builds.length} shown`;
}

builds.forEach((item) => item.firstElementChild.addEventListener("toggle", () => drawOnce(item)));
for (const name of ["rule", "level", "words"]) field(name).addEventListener("input", filter);
field("filter").hidden = false;
filter();
addEventListener("beforeprint", () => {
  for (const item of builds) if (item.firstElementChild.open) drawOnce(item);
});
