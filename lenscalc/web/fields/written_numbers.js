// A browser whose language writes a point drops the comma of 0,03 without a word, and the minus sign of a printed table: 3 is left.
// So what is typed or pasted into a number field is put into the writing that the field takes. What cannot be is not taken, and said: from then
// on nothing is, until something is deleted or replaced, or the rest of it would make another number of what stands there.
(() => {
  if (window.lenscalcWrittenNumbers) return;
  window.lenscalcWrittenNumbers = true;
  const asTaken = (text) => text.trim().replace(/[\u2212\u2013]/g, "-").replace(/^([^.,]*),([^.,]*)$/, "$1.$2");
  const isNumber = (text) => /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(text);
  const refusal = (given, taken, before) => {
    if (given.length > 1 && !isNumber(taken)) return `“${given.trim().slice(0, 40)}” is not a number: digits and one decimal point, no unit`;
    return taken.includes(".") && before.includes(".") ? "There is a decimal point already" : "";
  };
  document.addEventListener("beforeinput", (event) => {
    const field = event.target, given = event.data;
    if (field.type !== "number" || event.isComposing) return;
    const before = String(document.getSelection()) ? "" : field.value;
    const goesOn = Boolean(given && before && field.validity.customError);
    if (!goesOn) field.setCustomValidity("");
    if (!given) return;
    const taken = asTaken(given);
    if (!goesOn) field.setCustomValidity(refusal(given, taken, before));
    if (field.validity.customError) field.reportValidity();
    else if (taken === given) return;
    else document.execCommand("insertText", false, taken);
    event.preventDefault();
  }, true);
  document.addEventListener("focusout", (event) => event.target.type === "number" && event.target.setCustomValidity(""), true);
})();
