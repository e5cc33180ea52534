"""What a maker is told beside her rounds."""
