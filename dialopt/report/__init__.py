"""The words and pictures: plain sentences, figures, the HTML report."""
