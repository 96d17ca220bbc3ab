"""Site files in the browser: premises that begin from them, and designs saved as them."""
