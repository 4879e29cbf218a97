// Pictures are drawn for a light or a dark page. When the system turns dark under an open page, the framework changes its own colours at once and
// tells the pictures at the next move; so the page is asked to be drawn again, by the framework's own key for that.
(() => {
  if (window.lenscalcChangedGround) return;
  window.lenscalcChangedGround = true;
  const EVERY_ms = 100, TRIES = 100;
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const drawAgain = (left) => setTimeout(() => {
    const app = document.querySelector("[data-testid=stApp]");
    // the framework has its new colours, and nothing under way that would make it pass over a further request
    const coloured = app && getComputedStyle(app).colorScheme === (dark.matches ? "dark" : "light");
    const ready = coloured && (app.dataset.testScriptState || "notRunning") === "notRunning";
    if (!ready) return left && drawAgain(left - 1);
    for (const what of ["keydown", "keyup"]) {
      document.body.dispatchEvent(new KeyboardEvent(what, { key: "r", code: "KeyR", keyCode: 82, which: 82, bubbles: true }));
    }
  }, EVERY_ms);
  dark.addEventListener("change", () => drawAgain(TRIES));
})();
