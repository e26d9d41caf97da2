// Comforts only: every view works without.
"use strict";

// Arrow keys step from channel to channel, unless something on the page makes its own use of them.
document.addEventListener("keydown", (event) => {
  const step = { ArrowLeft: "below", ArrowRight: "above" }[event.key];
  const busy = event.altKey || event.ctrlKey || event.metaKey || event.shiftKey || event.defaultPrevented;
  if (!step || busy || event.target.closest("input, select, textarea, [tabindex='0']")) {
    return;
  }
  document.getElementById(step)?.click();
});

// A box above each long table that leaves only the rows with some words in them.
const LONG = 12;
document.querySelectorAll(".box").forEach((box, place) => {
  const rows = [...box.querySelectorAll("tbody tr")];
  if (rows.length < LONG || box.querySelector(".sideways")) {
    return;
  }
  const texts = rows.map((row) => [...row.cells].map((cell) => cell.textContent).join(" ").toLowerCase());
  const field = document.createElement("p");
  const label = document.createElement("label");
  const input = document.createElement("input");
  const told = document.createElement("span");
  input.id = `rows-${place}`;
  input.type = "search";
  input.autocomplete = "off";
  label.htmlFor = input.id;
  label.textContent = "Only rows with";
  told.setAttribute("role", "status");
  field.className = "filter";
  field.append(label, input, told);
  box.before(field);
  input.addEventListener("input", () => {
    const words = input.value.toLowerCase().split(/\s+/).filter(Boolean);
    let shown = 0;
    rows.forEach((row, number) => {
      row.hidden = !words.every((word) => texts[number].includes(word));
      shown += row.hidden ? 0 : 1;
    });
    told.textContent = words.length ? `${shown} of ${rows.length} rows here` : "";
  });
});

// The address is the bench, where it holds one: a button to take it along.
const foot = document.querySelector("footer");
if (foot && navigator.clipboard && document.querySelector("nav")) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "quiet";
  button.textContent = "Copy the address";
  button.addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText(location.href);
      button.textContent = "Copied";
    } catch {
      button.textContent = "Copy it from the address bar";
    }
  });
  foot.append(button);
}
