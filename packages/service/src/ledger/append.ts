/** The door for slices that append entries: they tell that there are more, and get receipts to give to the caller. */

/** An entry that is stored. */
export interface StoredEntry {
  readonly index: number
  readonly leafHash: Uint8Array
}

export interface LedgerAppends {
  /**
   * Entries that were stored in one batch, one after the other, are there: the tree will cover them within a second.
   * Answers a receipt for each, as JSON. Never throws: what is stored is stored.
   */
  appended(batch: readonly StoredEntry[]): (string | undefined)[]
}

/** Header field of an answer that came with a receipt. */
export const RECEIPT_FIELD = 'ledger-receipt'
