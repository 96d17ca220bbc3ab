"""Both ways of the application in a real browser: what a person with a keyboard sees and gets."""
