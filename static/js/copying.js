/** Copies a value of the copy sheet and ticks it. Without this the text can be selected by hand. */

const shown = () => {
  for (const button of document.querySelectorAll("[data-copies]")) button.hidden = false;
};

document.addEventListener("click", async (event) => {
  const button = event.target instanceof Element ? event.target.closest("[data-copies]") : null;
  const value = button && document.getElementById(button.dataset.copies);
  if (!value) return;
  try {
    await navigator.clipboard.writeText(value.innerText);
  } catch {
    // Without a secure connection the browser lets nobody write: it is selected instead.
    getSelection().selectAllChildren(value);
    return;
  }
  const form = button.closest("tr").querySelector("form");
  if (form.elements.done.value === "1") form.requestSubmit();
});

document.addEventListener("htmx:afterSettle", shown);
shown();
