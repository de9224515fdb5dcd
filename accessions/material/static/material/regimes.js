// Choosing a published treatment writes its temperature and hours into the boxes, where they can be changed.
// Without script the boxes may stay blank: the server then takes those of the treatment.
"use strict";
for (const form of document.querySelectorAll("form[data-regimes]")) {
  form.addEventListener("change", (event) => {
    const choice = event.target;
    if (choice.name !== "regime" || choice.dataset.hours === undefined) return;
    form.elements.treatment_degrees_c.value = choice.dataset.degrees;
    form.elements.treatment_hours.value = choice.dataset.hours;
  });
}
