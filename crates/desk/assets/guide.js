// The colours of a page of the guide: as she chose them in the program, else the system's wish. Without this the style sheet asks the system itself.

{
  const wish = matchMedia("(prefers-color-scheme: dark)");
  const show = () => { document.documentElement.dataset.theme = localStorage.getItem("undersong.theme") ?? (wish.matches ? "dark" : "light"); };
  wish.addEventListener("change", show);
  addEventListener("storage", show);
  show();
}
