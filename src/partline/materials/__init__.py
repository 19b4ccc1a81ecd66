"""What things are made of: grades, colourants, flake, salt, and the shelf they stand on."""
