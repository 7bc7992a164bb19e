"""An invented site with years of callouts, so that a newcomer sees every page of the history full."""
