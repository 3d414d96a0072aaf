// Light and dark: the system's wish unless she chose; her choice is kept in this browser.

import { always } from "./dom.js";

const kept = "undersong.theme";
const wish = matchMedia("(prefers-color-scheme: dark)");

export const theme = () => localStorage.getItem(kept) ?? (wish.matches ? "dark" : "light");

/** Shows the theme that holds on every page but the stand, which has its own. */
export function showTheme() {
  document.documentElement.dataset.theme = theme();
  const button = always("theme");
  button.textContent = theme() === "dark" ? "Light" : "Dark";
  button.setAttribute("aria-label", theme() === "dark" ? "Light colours" : "Dark colours");
}

export function startTheme() {
  always("theme").addEventListener("click", () => {
    localStorage.setItem(kept, theme() === "dark" ? "light" : "dark");
    showTheme();
  });
  wish.addEventListener("change", showTheme);
  showTheme();
}
