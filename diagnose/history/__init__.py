"""What a site's closed callouts say: rates, trends and what to keep in stock."""
