// What every page does: copying, and the colours of day and night.
const $ = (id) => document.getElementById(id);

async function copy(button) {
  const done = await copyText(button.nextElementSibling.dataset.copy);
  const label = button.firstChild;
  const before = label.textContent;
  label.textContent = done ? "Copied" : "Could not copy";
  $("said").textContent = label.textContent;
  setTimeout(() => {
    label.textContent = before;
  }, 2000);
}

function isDark() {
  const chosen = document.documentElement.dataset.theme;
  return chosen ? chosen === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
}

function nameTheme() {
  $("theme").textContent = isDark() ? "Light" : "Dark";
  $("theme").setAttribute("aria-label", isDark() ? "Light colours" : "Dark colours");
}

function turnTheme() {
  document.documentElement.dataset.theme = isDark() ? "light" : "dark";
  nameTheme();
}

nameTheme();
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", nameTheme);
