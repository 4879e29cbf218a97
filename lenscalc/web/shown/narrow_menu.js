// In a narrow window the framework lays the list of pages over the page, and leaves it there when somebody has chosen from it. So a choice shuts it,
// unless the page was opened beside this one.
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
})();
