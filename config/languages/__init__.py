"""The languages of the texts: finding what is to be translated, compiling, and whose turn it is."""
