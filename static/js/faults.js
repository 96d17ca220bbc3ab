// Focus the summary of faults when a page comes back with faults; screen readers then read it.
document.getElementById("faults")?.focus();
