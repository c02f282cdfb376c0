/** The keys that sign for the ledger, from where the operator keeps them. */
import { createPrivateKey, generateKeyPairSync, type KeyObject, randomUUID } from 'node:crypto'
import { link, mkdir, readFile, stat, unlink, writeFile } from 'node:fs/promises'
import { dirname } from 'node:path'
import type { Signer } from '@liftledger/ledger'
import { ed25519Signer } from '@liftledger/ledger/signing'
import { ConfigError, type KeySource } from '../config.ts'

/** The setting that brings a key. */
export type KeySetting = 'LEDGER_SIGNING_KEY' | 'LEDGER_PREVIOUS_KEY'

/** Gives the signer a name; the name of a log's keys is the log's origin. */
export type NameSigner = (name: string) => Signer

/**
 * Reads the key, or makes it where development needs one.
 *
 * Throws {@link ConfigError} for what is no Ed25519 key in PKCS#8, and for a file that others may read; it names the
 * setting that is at fault, and never holds anything of the key.
 */
export async function loadKey(source: KeySource, setting: KeySetting): Promise<NameSigner> {
  const seed = 'text' in source ? seedOf(source.text, setting, wrongText(source.text, setting)) : await readSeed(source)
  return (name) => ed25519Signer(name, seed)

  async function readSeed(from: Exclude<KeySource, { text: string }>): Promise<Uint8Array> {
    if ('made' in from) await makeKey(from.made)
    const [file, what] = 'made' in from ? [from.made, 'the key that was made'] : [from.file, `${setting}_FILE`]
    const text = await readKeyFile(file, what)
    return seedOf(text, `${what}: ${file}`, `${what}: ${file} holds no private key; ${ALLOWED}.`)
  }
}

const ALLOWED = 'allowed is an Ed25519 key, PKCS#8 as PEM or in base 64'

/** What to say of a text that is no key: most often it is where the key lies. */
function wrongText(text: string, setting: KeySetting): string {
  // A key in base 64 begins with the bytes of a sequence, which never look like this.
  const isPath = /^\s*(~|\.{0,2}[/\\]|[A-Za-z]:\\)|\.(pem|key|der|txt)\s*$/.test(text)
  return isPath
    ? `${setting} is no private key; a path belongs in ${setting}_FILE.`
    : `${setting} is no private key; ${ALLOWED}.`
}

/** Base 64 stands for the DER; a PEM in a variable often has `\n` where lines end. */
function parse(text: string, wrong: string): KeyObject {
  try {
    if (text.includes('-----BEGIN ')) return createPrivateKey({ key: text.replaceAll('\\n', '\n'), format: 'pem' })
    const der = Buffer.from(text.trim(), 'base64')
    return createPrivateKey({ key: der, format: 'der', type: 'pkcs8' })
  } catch {
    // The cause could hold parts of the key.
    throw new ConfigError([wrong])
  }
}

/** `what` has the key, and `wrong` is what to say where it has none. */
function seedOf(text: string, what: string, wrong: string): Uint8Array {
  const key = parse(text, wrong)
  if (key.asymmetricKeyType !== 'ed25519') {
    throw new ConfigError([`${what} is a key of type ${key.asymmetricKeyType}; the ledger signs with Ed25519.`])
  }
  return new Uint8Array(Buffer.from(key.export({ format: 'jwk' }).d!, 'base64url'))
}

async function readKeyFile(file: string, what: string): Promise<string> {
  try {
    const { mode } = await stat(file)
    // Windows keeps no such bits.
    if (process.platform !== 'win32' && (mode & 0o077) !== 0) {
      const found = (mode & 0o777).toString(8).padStart(4, '0')
      throw new ConfigError([`${what}: ${file} has mode ${found}, so that others may read it; chmod 600 ${file}.`])
    }
    return await readFile(file, 'utf8')
  } catch (error) {
    if (error instanceof ConfigError) throw error
    throw new ConfigError([`${what}: ${file} can't be read: ${(error as NodeJS.ErrnoException).code}.`])
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
