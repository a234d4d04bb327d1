"""What is looked at: pictures of places, plans and trains."""
