// The framework stops at the sign before every number field, on the way from one number to the next. What a field means is told all the same to
// whoever goes by the keyboard: a question mark, which belongs to no number, leads to the sign.
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
})();
