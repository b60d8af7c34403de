"""What looks show: circuits, small plots and maps, explanations, the page of a round."""
