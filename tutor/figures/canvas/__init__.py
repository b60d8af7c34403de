"""What every picture is drawn on."""
