/** Edge cases of Ed25519: repository C2SP/wycheproof, testvectors_v1/ed25519_test.json. */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { verifyEd25519 } from '#ed25519'
import { fromHex, toHex } from '../bytes.ts'
import { verifyEd25519 as verifyInWeb } from '../ed25519.web.ts'
import { ed25519Signer } from '../signing.ts'
import { same, type VectorCase, type VectorSuite, vectorFolder } from './suite.ts'

interface Published {
  readonly testGroups: readonly {
    readonly publicKey: { readonly pk: string }
    readonly tests: readonly {
      readonly tcId: number
      readonly comment: string
      readonly msg: string
      readonly sig: string
      readonly result: 'valid' | 'invalid'
    }[]
  }[]
}

async function expectVerdict(publicKey: Uint8Array, message: Uint8Array, signature: Uint8Array, due: boolean) {
  same(await verifyEd25519(publicKey, message, signature), due, 'the verdict')
  same(await verifyInWeb(publicKey, message, signature), due, 'the verdict of WebCrypto')
}

function published(folder: string): VectorCase[] {
  const { testGroups } = JSON.parse(readFileSync(join(folder, 'ed25519_test.json'), 'utf8')) as Published
  return testGroups.flatMap(({ publicKey, tests }) =>
    tests.map(({ tcId, comment, msg, sig, result }) => ({
      name: `${tcId} ${comment}`,
      check: () => expectVerdict(fromHex(publicKey.pk)!, fromHex(msg)!, fromHex(sig)!, result === 'valid'),
    })),
  )
}

/** Order of the group, L of RFC 8032, 5.1, little-endian: S + L signs the same and must be refused (5.1.7). */
const ORDER = 2n ** 252n + 27742317777372353535851937790883648493n

function withOrderAdded(signature: Uint8Array): Uint8Array {
  let s = ORDER
  for (let i = 63; i >= 32; i--) s += BigInt(signature[i]!) << BigInt(8 * (i - 32))
  return signature.map((byte, i) => (i < 32 ? byte : Number((s >> BigInt(8 * (i - 32))) & 0xffn)))
}

const MESSAGE = Uint8Array.of(0x31, 0x32)
const signer = ed25519Signer('example.com/log', new Uint8Array(32).fill(7))
const good = signer.sign(MESSAGE)

/** The same kinds of edge, made here. */
const SMALL: readonly { readonly name: string; readonly signature: Uint8Array }[] = [
  { name: 'S beyond the order of the group', signature: withOrderAdded(good) },
  { name: 'all zero', signature: new Uint8Array(64) },
  { name: 'cut short', signature: good.slice(0, 63) },
  { name: 'with a byte behind it', signature: Uint8Array.of(...good, 0) },
  { name: 'empty', signature: new Uint8Array() },
  { name: 'S and R exchanged', signature: Uint8Array.of(...good.slice(32), ...good.slice(0, 32)) },
]

const small: VectorCase[] = [
  { name: 'the good one', check: () => expectVerdict(signer.key.publicKey, MESSAGE, good, true) },
  ...SMALL.map(({ name, signature }) => ({
    name: `${name}: ${toHex(signature)}`,
    check: () => expectVerdict(signer.key.publicKey, MESSAGE, signature, false),
  })),
]

const folder = vectorFolder('ed25519')

export const ed25519Suite: VectorSuite = {
  id: 'vectors.ed25519',
  source: folder === undefined ? 'edges named in RFC 8032 (2017), 5.1.7' : 'C2SP/wycheproof, ed25519_test.json',
  full: folder !== undefined,
  cases: folder === undefined ? small : published(folder),
}
