# Four stations in line in salabim in its leanest form: machines and the source are its components, jobs are tuples in a
# heap by due date.
import salabim as sim,random,sys,time
from heapq import heappush,heappop
from common import *
def main(n,seed):
    random.seed(seed); sim.yieldless(False); env=sim.Environment(trace=False,random_seed=seed); q=[[] for _ in range(4)]; idle=[[] for _ in range(4)]; recs=[]; ln=random.lognormvariate
    def put(s,j):
        heappush(q[s],j)
        if idle[s]: idle[s].pop().activate()
    class Machine(sim.Component):
        def setup(self,s): self.s=s
        def process(self):
            s=self.s; mine=q[s]
            while True:
                while not mine: idle[s].append(self); yield self.passivate()
                j=heappop(mine); yield self.hold(ln(MU[s],SIG)); due,i,k,p,a=j; r=ROUTES[k]; p+=1
                if p<len(r): put(r[p],(due,i,k,p,a))
                else:
                    recs.append((k,a,due,env.now()-a))
                    if len(recs)==n: done.activate()
    class Source(sim.Component):
        def process(self):
            for i in range(n):
                yield self.hold(random.expovariate(1.0)); a=env.now(); k=random.randrange(5); put(ROUTES[k][0],(a+random.uniform(10,40),i,k,0,a))
    class Done(sim.Component):
        def process(self): yield self.passivate(); env.main().activate()
    for s in range(4):
        for _ in range(SERVERS[s]): Machine(s=s)
    done=Done(); Source(); t=time.perf_counter(); env.run(); s=time.perf_counter()-t
    out(s,len(recs),sum(r[3] for r in recs)/len(recs))
main(int(sys.argv[1]),int(sys.argv[2]))
