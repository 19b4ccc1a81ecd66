"""The maker's data: files that a person can read, and the database that keeps their versions."""
