"""The range: every article with what it needs, how long it takes and what is ready; compounds, colours and routes."""
