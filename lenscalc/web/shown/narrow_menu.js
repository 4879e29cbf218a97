// In a narrow window the framework lays the list of pages over the page, and leaves it there when somebody has chosen from it. So a choice shuts it,
// unless the page was opened beside this one. And in that list its sections stand between the entries, so that it is no list to who hears it: it is
// said to be groups of links instead, each with the name of its section.
(() => {
  if (window.lenscalcNarrowMenu) return;
  window.lenscalcNarrowMenu = true;
  document.addEventListener("click", (event) => {
    const menu = event.target.closest("[data-testid=stSidebar]");
    if (!menu || !event.target.closest("[data-testid=stSidebarNavLink]") || event.ctrlKey || event.metaKey || event.shiftKey) return;
    setTimeout(() => {  // after the framework has heard of the choice
      const shut = menu.querySelector("[data-testid=stSidebarCollapseButton] button");
      if (shut && menu.dataset.collapsed !== "true") shut.click();
    });
  });
  const grouped = () => {
    const menu = document.getElementById("stSidebar");  // in a wide window there is none, and this is asked at every change of the page
    const list = menu && menu.querySelector("[data-testid=stSidebarNavItems]");
    if (!list) return;
    list.setAttribute("role", "none");
    for (const entry of list.querySelectorAll("li:not([role])")) entry.setAttribute("role", "none");
    for (const section of list.querySelectorAll("div:not([role]):has(> [data-testid=stNavSectionHeader])")) {
      section.setAttribute("role", "group");
      section.setAttribute("aria-label", section.querySelector("[data-testid=stMarkdownContainer]").textContent);
    }
  };
  new MutationObserver(grouped).observe(document.body, { childList: true, subtree: true });
  grouped();
})();
