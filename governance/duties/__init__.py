"""What is owed: duties from the conditions of papers, with their days; benefits promised and given; deposits."""
