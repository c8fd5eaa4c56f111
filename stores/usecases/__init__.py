"""One function for each thing a person does or asks: an ask in, a reply of facts out."""
