// What makes the pages nicer where scripts run; nothing needs it.
for (const zone of document.querySelectorAll("input[data-timezone]")) {
  zone.value = Intl.DateTimeFormat().resolvedOptions().timeZone || "UTC";
}
