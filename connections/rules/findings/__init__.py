"""The questions that the rules ask of every site, one function for each finding."""
