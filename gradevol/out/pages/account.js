// The page after the pour: its tables are copied, its colours chosen.
for (const hidden of document.querySelectorAll(".copy, #theme")) hidden.hidden = false;
document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (button?.classList.contains("copy")) copy(button);
  else if (button?.id === "theme") turnTheme();
});
