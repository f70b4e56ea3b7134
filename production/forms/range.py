"""What is typed about the range: articles and their parts, compounds, colours and routes."""
