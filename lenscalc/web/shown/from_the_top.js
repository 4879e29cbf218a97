// Where the machine is slow, the framework leaves the next page scrolled as far as the one before was. So a link to a page goes to the top first.
(() => {
  if (window.lenscalcFromTheTop) return;
  window.lenscalcFromTheTop = true;
  const LINKS = "[data-testid=stPageLink-NavLink], [data-testid=stSidebarNavLink], [data-testid=stTopNavLink], " +
    "[data-testid=stTopNavDropdownLink]";
  document.addEventListener("click", (event) => {
    if (!event.target.closest(LINKS) || event.ctrlKey || event.metaKey || event.shiftKey) return;
    const main = document.querySelector("[data-testid=stMain]");
    if (main) main.scrollTop = 0;
  });
})();
