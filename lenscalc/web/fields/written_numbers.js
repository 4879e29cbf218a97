// A browser whose language writes a point drops the comma of 0,03 without a word, and whatever else it knows no digit by: 14·9 becomes 149.
// So what is typed or pasted into a number field is put into the writing that the field takes. What cannot be is not taken, and said below the
// field: from then on nothing is, until something is deleted or replaced, or the rest of it would make another number of what stands there.
(() => {
  if (window.lenscalcWrittenNumbers) return;
  window.lenscalcWrittenNumbers = true;
  const asTaken = (text) => text.trim().replace(/[\u2010-\u2015\u2212\uFE63\uFF0D]/g, "-").replace(/^([^.,]*),([^.,]*)$/, "$1.$2");
  const isNumber = (text) => /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(text);
  const refusal = (given, taken, before) => {
    const fits = given.length > 1 ? isNumber(taken) : /^[\d.e+-]$/i.test(taken) || !(taken || before);
    if (!fits) return `“${given.trim().slice(0, 40) || "a blank"}” does not belong to a number: write digits and one decimal point, no unit`;
    return taken.includes(".") && before.includes(".") ? "There is a decimal point already" : "";
  };
  const say = (field, sentence) => {
    field.setCustomValidity(sentence);
    const place = field.closest("[data-testid=stNumberInput]") || field.parentElement;
    let said = place.querySelector(".lenscalc-refused");
    if (!sentence) return said && said.remove();
    if (!said) {
      said = place.appendChild(document.createElement("div"));
      said.className = "lenscalc-refused";
      said.setAttribute("role", "alert");
    }
    said.textContent = sentence;
  };
  document.addEventListener("beforeinput", (event) => {
    const field = event.target, given = event.data;
    if (field.type !== "number" || event.isComposing || event.inputType === "insertLineBreak") return;
    const chosen = String(document.getSelection());
    if (given && chosen && field.value === `-${chosen}` && asTaken(given).startsWith("-")) {  // a double click chooses the digits alone: -|15.0| and -15.2
      field.select();
      document.execCommand("insertText", false, asTaken(given));
      event.preventDefault();
      return;
    }
    const before = chosen ? "" : field.value;
    const goesOn = Boolean(given && before && field.validity.customError);
    if (!goesOn) say(field, given ? refusal(given, asTaken(given), before) : "");
    if (!given) return;
    if (!field.validity.customError) {
      if (asTaken(given) === given) return;
      document.execCommand("insertText", false, asTaken(given));
    }
    event.preventDefault();
  }, true);
  document.addEventListener("click", (event) => {  // a step up or down is another value too
    const stepped = event.target.closest("[data-testid=stNumberInput] button");
    if (stepped) say(stepped.closest("[data-testid=stNumberInput]").querySelector("input"), "");
  }, true);
})();
