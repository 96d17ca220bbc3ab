// A page that came back with faults starts at their summary, for eyes and for screen readers.
document.getElementById("faults")?.focus();
