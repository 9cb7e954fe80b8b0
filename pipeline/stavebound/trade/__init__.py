"""What the trade knows, as data: tables in TOML and the catalogue that holds them."""
