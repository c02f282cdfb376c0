/** What stands hashed in the ledger about draws and visits: the door for the audit, which hashes it again. */
import { canonicalBytes } from '@liftledger/ledger'

/** Codes of who announced a draw and, once it is drawn, of who drew it, as canonical JSON. */
export const drawPeopleBytes = (announcer: string, drawer?: string): Buffer =>
  Buffer.from(canonicalBytes({ announcer, ...(drawer !== undefined && { drawer }) }))

export interface StepContent {
  readonly step: string
  readonly assignedFirm?: string
  readonly testFrom?: string
  readonly testUntil?: string
  readonly retest?: string
  readonly reason?: string
}

/** A step as it is hashed, ids as on the wire. */
export const stepBytes = (content: StepContent): Buffer => Buffer.from(canonicalBytes({ ...content }))
