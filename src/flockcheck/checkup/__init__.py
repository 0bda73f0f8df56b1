"""The answer: limits judged by day, findings, the verdict, and a rulebook's proof."""
