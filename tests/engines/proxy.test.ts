/** README's own configuration of the TLS proxy and of systemd, taken from its text and run: nginx before the real service. */
import { execFileSync, spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import type { IncomingHttpHeaders } from 'node:http'
import { request as httpRequest } from 'node:http'
import { request as httpsRequest } from 'node:https'
import { createServer } from 'node:net'
import { join, resolve } from 'node:path'
import { expect, onTestFinished, test } from 'vitest'
import { createPeopleDesk } from '../../server/people/createPeopleDesk.ts'
import { openDatabase } from '../../server/store/open.ts'
import { scratchFolder } from '../support/database.ts'
import { startLiveService } from '../support/liveService.ts'

const NAME = 'under.example'
const PUBLIC_URL = `https://${NAME}`
const ANN = { name: 'Ann Example', email: 'ann@under.example', role: 'contractor' as const, houses: [] }
const PASSWORD = 'wet joists dry slowly'
const NGINX = '/usr/sbin/nginx'
const readme = readFileSync(resolve(import.meta.dirname, '../../README.md'), 'utf8')

/** The block of that language in README.md. */
const block = (language: string): string => new RegExp(`\`\`\`${language}\n([^]*?)\`\`\``).exec(readme)![1]!

const freePort = async (): Promise<number> => {
  const server = createServer().listen(0, '127.0.0.1')
  await once(server, 'listening')
  const { port } = server.address() as { port: number }
  await new Promise((closed) => server.close(closed))
  return port
}

interface Answer {
  status: number
  headers: IncomingHttpHeaders
  body: string
}

async function startProxied() {
  if (!existsSync(NGINX))
    throw new Error('nginx is not installed. Run: apt-get update && apt-get install -y nginx-light')
  const folder = scratchFolder()
  const databasePath = join(folder, 'underjoist.db')
  await withDesk(databasePath, async (desk) => {
    const { invitation } = await desk.addPerson(ANN, 'the command line')
    await desk.setPassword({ code: invitation.split('#')[1]!, password: PASSWORD }, { address: '', agent: 'a test' })
  })
  const service = await startLiveService(databasePath, { MQTT_PORT: 'off', PUBLIC_URL })

  const cert = join(folder, 'fullchain.pem')
  const key = join(folder, 'key.pem')
  const subject = ['-subj', `/CN=${NAME}`, '-addext', `subjectAltName=DNS:${NAME}`]
  const keys = ['-newkey', 'rsa:2048', '-nodes', '-keyout', key, '-out', cert, '-days', '2']
  execFileSync('openssl', ['req', '-x509', ...keys, ...subject], { stdio: 'ignore' })
  const [tls, plain] = [await freePort(), await freePort()]
  const servers = block('nginx')
    .replace('listen 443 ssl', `listen 127.0.0.1:${tls} ssl`)
    .replace('listen 80', `listen 127.0.0.1:${plain}`)
    .replace('/etc/ssl/under.example/fullchain.pem', cert)
    .replace('/etc/ssl/under.example/key.pem', key)
    .replaceAll('http://127.0.0.1:8484', service.http)
  mkdirSync(join(folder, 'tmp'))
  const temporary = ['client_body', 'proxy', 'fastcgi', 'uwsgi', 'scgi']
    .map((what) => `${what}_temp_path ${folder}/tmp/${what};`)
    .join('\n')
  const config = `daemon off;\nuser root;\npid ${folder}/nginx.pid;\nerror_log ${folder}/error.log;\nevents {}\nhttp {\naccess_log ${folder}/access.log;\n${temporary}\n${servers}}\n`
  writeFileSync(join(folder, 'nginx.conf'), config)
  const nginx = spawn(NGINX, ['-e', join(folder, 'error.log'), '-c', join(folder, 'nginx.conf')], { stdio: 'inherit' })
  const gone = once(nginx, 'close')
  onTestFinished(async () => {
    nginx.kill('SIGTERM')
    await gone
  })

  function ask(path: string, { headers = {}, body = '' }: { headers?: Record<string, string>; body?: string } = {}) {
    const method = body === '' ? 'GET' : 'POST'
    const length = body === '' ? {} : { 'content-type': 'application/json', 'content-length': Buffer.byteLength(body) }
    const options = { host: '127.0.0.1', port: tls, path, method, servername: NAME, ca: readFileSync(cert) }
    return answered(httpsRequest({ ...options, headers: { host: NAME, ...length, ...headers } }), body)
  }
  const askPlainly = (path: string) =>
    answered(httpRequest({ host: '127.0.0.1', port: plain, path, headers: { host: NAME } }), '')
  await expect.poll(() => ask('/healthz').then(({ status }) => status, () => 0), { timeout: 15_000 }).toBe(200) // biome-ignore format: one expectation
  return { ask, askPlainly, databasePath, accessLog: () => readFileSync(join(folder, 'access.log'), 'utf8') }
}

async function answered(request: ReturnType<typeof httpRequest>, body: string): Promise<Answer> {
  request.end(body)
  const [response] = (await once(request, 'response')) as [import('node:http').IncomingMessage]
  let text = ''
  for await (const part of response) text += part
  return { status: response.statusCode!, headers: response.headers, body: text }
}

async function withDesk<T>(path: string, work: (desk: ReturnType<typeof createPeopleDesk>) => Promise<T>): Promise<T> {
  const db = openDatabase(path)
  try {
    return await work(createPeopleDesk({ db, now: Date.now, publicUrl: PUBLIC_URL }))
  } finally {
    db.close()
  }
}

test('behind TLS a person signs in with a cookie for this host and TLS alone, and is known by it', async () => {
  const { ask, databasePath, askPlainly, accessLog } = await startProxied()
  expect((await ask('/api/round')).status).toBe(401)

  const signIn = JSON.stringify({ email: ANN.email, password: PASSWORD })
  const headers = {
    origin: PUBLIC_URL,
    'x-forwarded-for': '203.0.113.9',
    forwarded: 'for=203.0.113.9',
    'x-forwarded-host': 'elsewhere.example',
  }
  const signedIn = await ask('/api/sign-in', { headers, body: signIn })
  expect(signedIn.status, signedIn.body).toBe(200)
  expect(signedIn.headers['strict-transport-security']).toBe('max-age=31536000; includeSubDomains')
  expect(signedIn.headers['access-control-allow-origin']).toBeUndefined()
  const [cookie] = signedIn.headers['set-cookie']!
  expect(cookie).toMatch(/^__Host-underjoist=[^;]{40,}; Path=\/;/)
  for (const attribute of ['Secure', 'HttpOnly', 'SameSite=Strict']) expect(cookie).toContain(`; ${attribute}`)
  const round = await ask('/api/round', { headers: { cookie: cookie!.split(';')[0]! } })
  expect(round.status, round.body).toBe(200)

  // Where it came from is the connection's word, whatever the browser says.
  const sessions = await withDesk(databasePath, async (desk) => desk.sessions((await desk.people())[0]!.id))
  expect(sessions.map(({ address }) => address)).toContain('127.0.0.1')
  expect(JSON.stringify(sessions)).not.toContain('203.0.113.9')

  // From another site's page nobody is signed in.
  const foreign = await ask('/api/sign-in', { headers: { origin: 'https://elsewhere.example' }, body: signIn })
  expect(foreign.status).toBe(403)

  expect(await askPlainly('/houses/maple')).toMatchObject({
    status: 301,
    headers: { location: `${PUBLIC_URL}/houses/maple` },
  })
  expect((await askPlainly('/api/round')).status).toBe(403)

  await ask('/stop/a-secret-word')
  expect(accessLog()).toContain('/api/round')
  expect(accessLog()).not.toContain('a-secret-word')
})

test('the unit is one that systemd takes', () => {
  const path = join(scratchFolder(), 'underjoist.service')
  writeFileSync(path, block('ini').replace('/usr/bin/node', process.execPath))
  expect(execFileSync('systemd-analyze', ['verify', path], { encoding: 'utf8', stdio: 'pipe' })).toBe('')
})
