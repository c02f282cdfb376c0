/** Checkpoints (C2SP tlog-checkpoint): which log, how many entries, under which root. */
import { fromBase64, toBase64 } from './bytes.ts'
import { VerificationError } from './errors.ts'
import { HASH_BYTES } from './merkle.ts'
import { RECEIPT_TITLE } from './receipt.ts'

export interface Checkpoint {
  /** Name of the log; its key bears the same. */
  readonly origin: string
  readonly size: number
  readonly root: Uint8Array
}

/** First lines that other texts under a log’s key begin with; a log with such a name could be made to sign them. */
const TAKEN = ['cosignature/v1', RECEIPT_TITLE]

/** The text to sign. Throws `checkpoint-malformed` for what has no such text. */
export function checkpointBody({ origin, size, root }: Checkpoint): string {
  const body = `${origin}\n${size}\n${toBase64(root)}\n`
  parseCheckpoint(body)
  return body
}

/** Reads the text of a checkpoint; lines behind the third are refused. Throws `checkpoint-malformed`. */
export function parseCheckpoint(body: string): Checkpoint {
  const [origin = '', size = '', root = '', end, ...more] = body.split('\n')
  if (end !== '' || more.length > 0) throw malformed('it must have three lines: origin, size, root')
  if (origin === '' || TAKEN.includes(origin)) throw malformed('its first line is no origin')
  if (!/^(0|[1-9]\d*)$/.test(size) || !Number.isSafeInteger(Number(size))) {
    throw malformed(`its second line is no size: '${size}'`)
  }
  const bytes = fromBase64(root)
  if (bytes?.length !== HASH_BYTES) throw malformed(`its third line is no root hash of ${HASH_BYTES} bytes in base 64`)
  return { origin, size: Number(size), root: bytes }
}

function malformed(reason: string): VerificationError {
  return new VerificationError('checkpoint-malformed', `The text of the checkpoint can not be read: ${reason}.`)
}
