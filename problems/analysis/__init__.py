"""What a circuit does, exactly: H(s), facts, asymptotes, step response, letters."""
