"""What people see: names, tables, pictures, files."""
