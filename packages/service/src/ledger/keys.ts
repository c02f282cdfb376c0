/** The keys that sign for the ledger, from where the operator keeps them. */
import { createPrivateKey, generateKeyPairSync, type KeyObject, randomUUID } from 'node:crypto'
import { link, mkdir, readFile, stat, unlink, writeFile } from 'node:fs/promises'
import { dirname } from 'node:path'
import type { Signer } from '@liftledger/ledger'
import { ed25519Signer } from '@liftledger/ledger/signing'
import type { KeySource } from '../config.ts'

/** Thrown for a key that can't be used; never holds anything of the key. */
export class SigningKeyError extends Error {
  constructor(variable: string, reason: string) {
    super(`${variable}: ${reason}`)
    this.name = 'SigningKeyError'
  }
}

/** Gives the signer a name; the name of a log's keys is the log's origin. */
export type NameSigner = (name: string) => Signer

/**
 * Reads the key, or makes it where development needs one. `variable` is what messages call it.
 *
 * Throws {@link SigningKeyError} for what is no Ed25519 key in PKCS#8, and for a file that others may read.
 */
export async function loadKey(source: KeySource, variable: string): Promise<NameSigner> {
  if ('made' in source) await makeKey(source.made)
  const text =
    'text' in source ? source.text : await readKeyFile('made' in source ? source.made : source.file, variable)
  const seed = seedOf(parse(text, variable), variable)
  return (name) => ed25519Signer(name, seed)
}

/** Base 64 stands for the DER; a PEM in a variable often has `\n` where lines end. */
function parse(text: string, variable: string): KeyObject {
  const wrong = (): SigningKeyError =>
    new SigningKeyError(variable, 'is no private key; allowed is an Ed25519 key, PKCS#8 as PEM or in base 64.')
  try {
    if (text.includes('-----BEGIN ')) return createPrivateKey({ key: text.replaceAll('\\n', '\n'), format: 'pem' })
    const der = Buffer.from(text.trim(), 'base64')
    return createPrivateKey({ key: der, format: 'der', type: 'pkcs8' })
  } catch {
    // The cause could hold parts of the key.
    throw wrong()
  }
}

function seedOf(key: KeyObject, variable: string): Uint8Array {
  if (key.asymmetricKeyType !== 'ed25519') {
    throw new SigningKeyError(variable, `is a key of type ${key.asymmetricKeyType}; the ledger signs with Ed25519.`)
  }
  return new Uint8Array(Buffer.from(key.export({ format: 'jwk' }).d!, 'base64url'))
}

async function readKeyFile(file: string, variable: string): Promise<string> {
  try {
    const { mode } = await stat(file)
    // Windows keeps no such bits.
    if (process.platform !== 'win32' && (mode & 0o077) !== 0) {
      const found = (mode & 0o777).toString(8).padStart(4, '0')
      throw new SigningKeyError(variable, `${file} has mode ${found}, so that others may read it; chmod 600 ${file}.`)
    }
    return await readFile(file, 'utf8')
  } catch (error) {
    if (error instanceof SigningKeyError) throw error
    throw new SigningKeyError(variable, `${file} can't be read: ${(error as NodeJS.ErrnoException).code}.`)
  }
}

/** Makes a key where there is none. Of two that try at once, one key stays, whole, and both use it. */
async function makeKey(file: string): Promise<void> {
  if (await exists(file)) return
  await mkdir(dirname(file), { recursive: true })
  const pem = generateKeyPairSync('ed25519').privateKey.export({ format: 'pem', type: 'pkcs8' })
  const draft = `${file}.${randomUUID()}`
  await writeFile(draft, pem, { mode: 0o600, flag: 'wx' })
  try {
    await link(draft, file)
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error
  } finally {
    await unlink(draft)
  }
}

const exists = (file: string): Promise<boolean> =>
  stat(file).then(
    () => true,
    () => false,
  )
