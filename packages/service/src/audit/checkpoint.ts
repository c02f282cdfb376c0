/** One stored checkpoint: that it says what its row says, and that the key in force signed it, and nobody unknown. */
import {
  equalBytes,
  parseCheckpoint,
  parseNote,
  VerificationError,
  type VerifierKey,
  verifyNote,
} from '@liftledger/ledger'
import type { Report } from './findings.ts'

export interface CheckpointRow {
  readonly size: string
  readonly root: Buffer
  readonly note: string
}

/** A key as the ledger's own entries put it in force. */
export interface KeyInForce {
  readonly key: VerifierKey
  readonly text: string
  /** Index of its entry. */
  readonly since: number
}

/** The signed root, if the note can be read; what is wrong is reported. `keys` in the order of their entries. */
export async function checkNote(
  { size, root, note }: CheckpointRow,
  keys: readonly KeyInForce[],
  report: Report,
): Promise<Uint8Array | undefined> {
  const place = { table: 'ledger_checkpoint', row: size }
  const current = keys.findLast(({ since }) => since < Number(size))
  try {
    const { body, signatures } = parseNote(note)
    const said = parseCheckpoint(body)
    const origin = keys[0]?.key.name
    if (said.size !== Number(size) || !equalBytes(said.root, new Uint8Array(root)) || said.origin !== origin) {
      const column = said.size === Number(size) && said.origin === origin ? 'root' : 'note'
      const message = `The checkpoint of ${size} entries says ${said.size} entries of '${said.origin}' under ${Buffer.from(said.root).toString('base64')}, its row ${size} under ${Buffer.from(root).toString('base64')}.`
      report({ code: 'checkpoint-wrong', ...place, column, message, or: [{ ...place, column: 'note' }] })
    }
    const known = keys.map(({ key }) => key)
    const unknown = signatures.find(({ name, id }) => !known.some((key) => key.name === name && key.id === id))
    if (unknown !== undefined) {
      const message = `The checkpoint of ${size} entries bears a signature of '${unknown.name}' by a key that the ledger never put in force.`
      report({ code: 'checkpoint-unsigned', ...place, column: 'note', message })
    }
    if (new Set(signatures.map(({ name, id }) => `${name} ${id}`)).size < signatures.length) {
      const message = `The checkpoint of ${size} entries bears two signatures by one key.`
      report({ code: 'checkpoint-unsigned', ...place, column: 'note', message })
    }
    const signed = await verifyNote(note, known)
    if (current === undefined || !signed.includes(current.key)) {
      const message = `The checkpoint of ${size} entries is not signed by ${current?.text ?? 'a key in force, since there was none'}.`
      report({ code: 'checkpoint-unsigned', ...place, column: 'note', message })
    }
    return said.root
  } catch (error) {
    if (!(error instanceof VerificationError)) throw error
    const code =
      error.code === 'signature-wrong' || error.code === 'key-unknown' ? 'checkpoint-unsigned' : 'checkpoint-wrong'
    report({ code, ...place, column: 'note', message: `The checkpoint of ${size} entries: ${error.message}` })
    return undefined
  }
}
