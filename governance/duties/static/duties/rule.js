// The form of a rule: shows the boxes that belong to the chosen way of counting. Those that do not belong are not
// sent; without script all are shown under their heads, and the server leaves out what does not belong.
"use strict";

for (const form of document.querySelectorAll("form[data-rule]")) {
  const when = form.elements.when;
  const parts = [...form.querySelectorAll("fieldset[data-whens]")];
  const show = () => {
    for (const part of parts) {
      part.hidden = !part.dataset.whens.split(" ").includes(when.value);
      part.disabled = part.hidden;
    }
  };
  when.addEventListener("change", show);
  show();
}
