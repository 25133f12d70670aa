"""Small programs for those who work on aanplant; none of them is installed with it."""
