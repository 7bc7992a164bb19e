"""The site's memory: the store of all callouts, their travel between stores, and what is learned of them."""
