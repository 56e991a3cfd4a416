// Runs before the page is painted: light or dark as chosen, and that scripts run.
(function () {
  const root = document.documentElement;
  root.classList.add("scripted");
  try {
    const theme = localStorage.getItem("theme");
    if (theme === "light" || theme === "dark") root.dataset.theme = theme;
  } catch { /* storage is off: the system's choice stays */ }
})();
