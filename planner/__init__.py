"""Plan the fitting of solar panels to camper van roofs and print the work pack."""
