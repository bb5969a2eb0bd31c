"""Commands that make paper, and what is sent to other kitchens."""
