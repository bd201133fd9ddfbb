"""Labels on pieces and vaults: what their codes say, and sheets of them to print. No database."""
