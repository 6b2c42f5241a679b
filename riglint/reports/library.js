"use strict";
// Filters the builds and draws one when it is opened. Nothing leaves the page.
const builds = Array.from(document.querySelectorAll("#builds > div"));
const words = builds.map((item) => item.querySelector("summary").textContent.toLowerCase() +
  " " + item.querySelector(".inside > p").textContent.toLowerCase());
const field = (name) => document.getElementById(name);

async function drawOnce(item) {
  const template = item.querySelector("template");
  if (template === null) return;
  const packed = template.content.textContent;
  template.content.textContent = "";
  if (packed === "") return;
  const bytes = Uint8Array.from(atob(packed), (letter) => letter.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  const text = await new Response(stream).text();
  const figure = new DOMParser().parseFromString(text, "application/xhtml+xml").documentElement;
  template.replaceWith(document.importNode(figure, true));
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
