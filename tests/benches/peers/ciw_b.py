# Four stations in line in Ciw: a class of customers for each kind of job with its own route; a service discipline
# of our own takes the earliest due date.
import ciw,random,sys,time
from collections import defaultdict
from common import *
class Job(ciw.Individual):
    def __init__(self,*a,**k): super().__init__(*a,**k); self.due=self.simulation.current_time+random.uniform(10,40)
def edd(waiting,t): return min(waiting,key=lambda j:j.due)
def main(n,seed):
    kinds=[f'k{k}' for k in range(5)]; work=[ciw.dists.Lognormal(m,SIG) for m in MU]
    arr={c:[None]*4 for c in kinds}; route={}
    for c,r in zip(kinds,ROUTES):
        arr[c][r[0]]=ciw.dists.Exponential(0.2); m=[[0.0]*4 for _ in range(4)]
        for a,b in zip(r,r[1:]): m[a][b]=1.0
        route[c]=m
    net=ciw.create_network(arrival_distributions=arr,service_distributions={c:work for c in kinds},routing=route,number_of_servers=SERVERS,service_disciplines=[edd]*4)
    ciw.seed(seed); sim=ciw.Simulation(net,individual_class=Job); t=time.perf_counter(); sim.simulate_until_max_customers(n,method='Finish'); s=time.perf_counter()-t
    done=[i for i in sim.nodes[-1].all_individuals]
    out(s,len(done),sum(i.data_records[-1].exit_date-i.data_records[0].arrival_date for i in done)/len(done))
main(int(sys.argv[1]),int(sys.argv[2]))
