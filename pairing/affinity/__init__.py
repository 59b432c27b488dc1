"""What goes together: the model of partners, the search for blends, the reasons."""
