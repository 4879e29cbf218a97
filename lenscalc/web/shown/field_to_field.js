// The framework stops at the sign before every number field, on the way from one number to the next. What a field means is told all the same to
// whoever goes by the keyboard: a question mark, which belongs to no number, leads to the sign. A first click chooses the whole number, as the
// tabulator does, so that another can be typed in its place.
(() => {
  if (window.lenscalcFieldToField) return;
  window.lenscalcFieldToField = true;
  const FIELD = "[data-testid=stNumberInput]", SIGN = "[data-testid=stTooltipIcon] button";
  document.addEventListener("keydown", (event) => {
    if (event.key === "Tab") document.querySelectorAll(`${FIELD} ${SIGN}`).forEach((sign) => sign.setAttribute("tabindex", "-1"));
    const sign = event.key === "?" && event.target.closest(FIELD)?.querySelector(SIGN);
    if (!sign) return;
    sign.focus();
    event.preventDefault();
  }, true);
  let come = null;
  document.addEventListener("pointerdown", (event) => {
    come = event.target.matches(`${FIELD} input`) && event.target !== document.activeElement ? event.target : null;
  }, true);
  document.addEventListener("click", (event) => {
    if (come && event.target === come && !String(document.getSelection())) come.select();
    come = null;
  }, true);
})();
