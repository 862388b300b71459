// A broker of another make than mosquitto: aedes 0.51, which speaks MQTT 3.1 and 3.1.1 and refuses 5. One argument, JSON:
// {"port": 1883, "tls": {"cert", "key", "ca"}, "user": "gyled", "password": "..."}. With tls.ca it wants a certificate
// of its clients; with user, a login. Sessions live as long as the process.
'use strict'
const fs = require('fs')
const { port, tls, user, password } = JSON.parse(process.argv[2])

const broker = require('aedes')()
if (user) {
  broker.authenticate = (client, name, given, done) => {
    const fine = name === user && String(given) === password
    done(fine ? null : Object.assign(new Error('bad login'), { returnCode: 4 }), fine)
  }
}
broker.on('clientReady', client => console.log(`client ${client.id} of version ${client.version}, clean ${client.clean}`))
broker.on('connectionError', (client, error) => console.log(`refused: ${error.message}`))

const files = tls && Object.fromEntries(Object.entries(tls).map(([kind, name]) => [kind, fs.readFileSync(name)]))
const server = tls
  ? require('tls').createServer({ ...files, requestCert: Boolean(tls.ca), rejectUnauthorized: Boolean(tls.ca) }, broker.handle)
  : require('net').createServer(broker.handle)
server.on('tlsClientError', error => console.log(`no TLS: ${error.message}`))
server.listen(port, '127.0.0.1', () => console.log('listening'))
