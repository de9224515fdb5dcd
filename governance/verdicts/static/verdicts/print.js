// Opens what is folded before the page is printed, so that paper holds all of it.
window.addEventListener("beforeprint", () => {
  for (const details of document.querySelectorAll("main details")) details.open = true;
});

// Shows the buttons that print the page: without script the browser's own menu prints it just as well.
for (const button of document.querySelectorAll("button[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => window.print());
}
