// uPlot asks Intl for a number format and a time zone while it loads, for which a slow phone reads all languages
// and zones of the world: 100 ms and more. Our charts write numbers and times themselves, so it gets neither.
{
  const known = window.Intl;
  window.Intl = {
    NumberFormat: class {
      format = String;
    },
    DateTimeFormat: class {
      resolvedOptions = () => ({ timeZone: "UTC" });
    },
  };
  const library = document.currentScript.nextElementSibling;
  for (const end of ["load", "error"]) library.addEventListener(end, () => (window.Intl = known), { once: true });
}
